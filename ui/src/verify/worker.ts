// Checks a file in its own thread: first its signature, with a module that is small; then the whole, with the renderer,
// which is fetched with progress and held against the digest that this build knows.
import start, { Standing, read_witnesses, verify_signature } from "./module/signature/rimside_web_verify.js";
import startWhole, { Shown, verify_file } from "./module/whole/rimside_web_verify.js";
import wholeAddress from "./module/whole/rimside_web_verify_bg.wasm?url";

import type { FromVerifier, KnownWitnesses, ShownReport, ToVerifier } from "./letters";
import { papersOf } from "./standing";

/** SHA-256 of the renderer's module, written in when the pages are built. */
declare const WHOLE_SHA256: string;

const say = (letter: FromVerifier) => postMessage(letter);
const started = start();
let whole: Promise<unknown> | null = null;

async function fetchWhole(): Promise<unknown> {
  const answer = await fetch(wholeAddress);
  if (!answer.ok || !answer.body) throw new Error(`what draws the pages could not be fetched (${answer.status}); open this page again while there is a network`);
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
  if (hex !== WHOLE_SHA256) throw new Error("what came to draw the pages is not the one that belongs to this page; open this page again, and do not rely on the file until it could be checked");
  return startWhole({ module_or_path: bytes });
}

/** What there is to look at in a file that could be read; the verdict says whether it is what was signed. */
function show(bytes: Uint8Array): void {
  try {
    const shown = new Shown(bytes);
    const report = JSON.parse(shown.told()) as ShownReport;
    const pictures = report.photographs.map((_, nth) => new Blob([shown.picture(nth) as Uint8Array<ArrayBuffer>], { type: "image/jpeg" }));
    shown.free();
    say({ kind: "shown", report, pictures });
  } catch {
    // A file that cannot be read has been said to be so.
  }
}

const words = (error: unknown) => (error instanceof Error ? error.message : String(error));

function readWitnesses(text: string, needed: number): void {
  try {
    say({ kind: "witnesses", known: JSON.parse(read_witnesses(text, needed)) as KnownWitnesses, slip: null });
  } catch (error) {
    say({ kind: "witnesses", known: null, slip: words(error) });
  }
}

async function check({ file, roots, witnesses }: Extract<ToVerifier, { kind: "check" }>): Promise<void> {
  // A few inputs are needed: the bytes, what the reader trusts, and the reader's clock.
  const bytes = new Uint8Array(await file.arrayBuffer());
  const now = new Date().toISOString();
  const [brought, seen] = [roots.join("\n"), witnesses ? JSON.stringify(witnesses) : ""];
  const first = verify_signature(bytes, brought, "", seen, now);
  say({ kind: "verdict", whole: false, json: first, heard: null });
  // What the firm of this root says today is asked of where this page is from; of the file itself nothing is sent.
  const { root } = JSON.parse(first) as { root: { fingerprint: string } | null };
  const found = root ? await papersOf(root.fingerprint, () => new Standing()) : null;
  const [papers, heard] = [found?.papers ?? "", found?.heard ?? null];
  if (found) say({ kind: "verdict", whole: false, json: verify_signature(bytes, brought, papers, seen, now), heard });
  whole ??= fetchWhole();
  try {
    await whole;
  } catch (error) {
    whole = null;
    throw error;
  }
  say({ kind: "drawing" });
  say({ kind: "verdict", whole: true, json: verify_file(bytes, brought, papers, seen, now), heard });
  show(bytes);
}

addEventListener("message", async ({ data }: MessageEvent<ToVerifier>) => {
  try {
    await started;
    if (data.kind === "witnesses") readWitnesses(data.text, data.needed);
    else await check(data);
  } catch (error) {
    say({ kind: "trouble", message: words(error) });
  }
});
