// Checks a file in its own thread: first its signature, with a module that is small; then the whole, with the renderer,
// which is fetched with progress and held against the digest that this build knows.
import start, { verify_signature } from "./module/signature/rimside_web_verify.js";
import startWhole, { verify_file } from "./module/whole/rimside_web_verify.js";
import wholeAddress from "./module/whole/rimside_web_verify_bg.wasm?url";

import type { FromVerifier, ToVerifier } from "./letters";

/** SHA-256 of the renderer's module, written in when the pages are built. */
declare const WHOLE_SHA256: string;

const say = (letter: FromVerifier) => postMessage(letter);
const started = start();
let whole: Promise<unknown> | null = null;

async function fetchWhole(): Promise<unknown> {
  const answer = await fetch(wholeAddress);
  if (!answer.ok || !answer.body) throw new Error(`the renderer could not be fetched (${answer.status})`);
  const of = Number(answer.headers.get("content-length")) || null;
  const parts: Uint8Array<ArrayBuffer>[] = [];
  let done = 0;
  const reader = answer.body.getReader();
  for (let read = await reader.read(); !read.done; read = await reader.read()) {
    parts.push(read.value);
    done += read.value.length;
    say({ kind: "fetching", done, of });
  }
  const bytes = await new Blob(parts).arrayBuffer();
  const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  const hex = [...digest].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  if (hex !== WHOLE_SHA256) throw new Error("the renderer that came is not the one that belongs to this page");
  return startWhole({ module_or_path: bytes });
}

addEventListener("message", async (event: MessageEvent<ToVerifier>) => {
  const { file, roots } = event.data;
  try {
    await started;
    // A few inputs are needed: the bytes, what the reader trusts, and the reader's clock.
    const bytes = new Uint8Array(await file.arrayBuffer());
    const now = new Date().toISOString();
    say({ kind: "verdict", whole: false, json: verify_signature(bytes, roots.join("\n"), now) });
    whole ??= fetchWhole();
    try {
      await whole;
    } catch (error) {
      whole = null;
      throw error;
    }
    say({ kind: "drawing" });
    say({ kind: "verdict", whole: true, json: verify_file(bytes, roots.join("\n"), now) });
  } catch (error) {
    say({ kind: "trouble", message: error instanceof Error ? error.message : String(error) });
  }
});
