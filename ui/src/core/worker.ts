// The core in its own thread: it alone touches the notebook, and no screen waits for it.
import init, { Core } from "./module/rimside_web.js";

import type { FromCore, ToCore } from "./letters";

const say = (letter: FromCore, move: Transferable[] = []) => postMessage(letter, move);

/** A worker that ended a moment ago may still have the files: the browser lets go of them by and by. */
const LET_GO_MS = 100;
const TRIES = 50;
const isTaken = (trouble: string) => /NoModificationAllowed|Access Handle|locked/i.test(trouble);

/** The notebook in the browser's private storage, or one that is gone with the page where there is none. */
async function open(): Promise<Core> {
  await init();
  let trouble = "";
  for (let nth = 0; nth < TRIES; nth += 1) {
    try {
      const core = await Core.open();
      say({ kind: "open", keeps: true, trouble: null });
      return core;
    } catch (thrown) {
      trouble = thrown instanceof Error ? thrown.message : String(thrown);
      if (!isTaken(trouble)) break;
      await new Promise((done) => setTimeout(done, LET_GO_MS));
    }
  }
  const core = Core.openInMemory();
  say({ kind: "open", keeps: false, trouble });
  return core;
}

const opened = open();

addEventListener("message", async (event: MessageEvent<ToCore>) => {
  const { id, request, bytes, tell } = event.data;
  try {
    const core = await opened;
    const step = tell ? (json: string) => say({ kind: "step", id, json }) : undefined;
    const answer = core.call(request, bytes ?? new Uint8Array(), step);
    const back = (answer.bytes as Uint8Array<ArrayBuffer> | undefined) ?? null;
    say({ kind: "answer", id, json: answer.json, bytes: back }, back ? [back.buffer] : []);
    answer.free();
  } catch (fault) {
    const json = typeof fault === "string" ? fault : JSON.stringify({ code: "core", message: String(fault), hint: "Close this page and open it again." });
    say({ kind: "fault", id, json });
  }
});
