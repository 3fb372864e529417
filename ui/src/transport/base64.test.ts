import { expect, test } from "vitest";

import { fromBase64, toBase64 } from "./base64";

// RFC 4648, section 10.
test("bytes are written as the standard writes them", () => {
  const written = { "": "", f: "Zg==", fo: "Zm8=", foo: "Zm9v", foob: "Zm9vYg==", fooba: "Zm9vYmE=", foobar: "Zm9vYmFy" };
  for (const [text, base64] of Object.entries(written)) expect(toBase64(new TextEncoder().encode(text))).toBe(base64);
});

test("a photograph comes back as it went", () => {
  const bytes = Uint8Array.from({ length: 100_001 }, (_, nth) => (nth * 31) % 256);
  expect(fromBase64(toBase64(bytes))).toEqual(bytes);
});
