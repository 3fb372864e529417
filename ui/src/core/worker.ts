// The core in its own thread: it alone touches the notebook, and no screen waits for it.
import init, { Core } from "./module/rimside_web.js";

import type { FromCore, ToCore } from "./letters";

const say = (letter: FromCore, move: Transferable[] = []) => postMessage(letter, move);

/** The notebook in the browser's private storage, or one that is gone with the page where there is none. */
async function open(): Promise<Core> {
  await init();
  try {
    const core = await Core.open();
    say({ kind: "open", keeps: true, trouble: null });
    return core;
  } catch (trouble) {
    const core = Core.openInMemory();
    say({ kind: "open", keeps: false, trouble: trouble instanceof Error ? trouble.message : String(trouble) });
    return core;
  }
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
