import { expect, test } from "vitest";

import { shown, stamp } from "./time";

test("a moment keeps the place's own offset", () => {
  const at = new Date("2026-11-24T13:02:05Z");
  const text = stamp(at);
  expect(text).toMatch(/^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}[+-]\d{2}:\d{2}$/);
  expect(new Date(text).getTime()).toBe(at.getTime());
});

test("it is shown as it was written there, not as the reader's clock has it, and on one line", () => {
  expect(shown("2026-11-24T14:02:00+01:00")).toBe("2026-11-24\u00a014:02\u00a0+01:00");
  expect(shown("2026-11-24T14:02:00.123Z")).toBe("2026-11-24\u00a014:02\u00a0+00:00");
  expect(shown("no time")).toBe("no time");
});
