// The core in the desktop's own process, behind the window.
import { toBase64 } from "./base64";
import { Fault, type Door, type Errand, type Op, type Reply, type RequestOf, type Step } from "./door";

interface Bridge {
  invoke(command: string, payload?: unknown, options?: { headers: Record<string, string> }): Promise<unknown>;
}

const bridge = () => (globalThis as { __TAURI_INTERNALS__?: Bridge }).__TAURI_INTERNALS__;

/** Whether the page stands in the desktop's window. */
export const isWindow = () => bridge() !== undefined;

export class WindowDoor implements Door {
  constructor(open: () => void) {
    queueMicrotask(open);
  }

  async ask<O extends Op>(request: RequestOf<O>, errand: Errand = {}): Promise<Reply<O>> {
    try {
      // Bytes go first and by themselves: as part of a message they would be written out as numbers.
      if (errand.bytes) await bring(errand.bytes);
      const watch = errand.tell ? setInterval(() => void this.#tell(errand.tell), 150) : undefined;
      try {
        const reply = (await bridge()?.invoke("ask", { request: JSON.stringify(request), brought: errand.bytes !== undefined })) as ArrayBuffer;
        return open(reply);
      } finally {
        clearInterval(watch);
      }
    } catch (thrown) {
      throw fault(thrown);
    }
  }

  async stop(): Promise<void> {
    await bridge()?.invoke("stop");
  }

  async #tell(tell: ((step: Step) => void) | undefined): Promise<void> {
    const step = (await bridge()?.invoke("step")) as Step | null;
    if (step) tell?.(step);
  }
}

/** Some systems pass bytes on to the window only as text. */
const takesText = () => /Android/i.test(navigator.userAgent);
const PIECE = 384 * 1024;

async function bring(bytes: Uint8Array): Promise<void> {
  if (!takesText()) {
    await bridge()?.invoke("bring", bytes);
    return;
  }
  let at = 0;
  do {
    const piece = bytes.subarray(at, at + PIECE);
    await bridge()?.invoke("bring", { base64: toBase64(piece), begins: at === 0 });
    at += PIECE;
  } while (at < bytes.length);
}

/** A reply: the length of its JSON in four bytes, the JSON, the bytes that were asked for. */
function open<O extends Op>(reply: ArrayBuffer): Reply<O> {
  const length = new DataView(reply).getUint32(0);
  const json = new TextDecoder().decode(new Uint8Array(reply, 4, length));
  const bytes = new Uint8Array(reply.slice(4 + length));
  return { answer: JSON.parse(json) as Reply<O>["answer"], bytes: bytes.length > 0 ? bytes : null };
}

function fault(thrown: unknown): Fault {
  const { code, message, hint } = (thrown ?? {}) as { code?: string; message?: string; hint?: string };
  return code && message ? new Fault(code, message, hint ?? "") : Fault.of(thrown);
}

/** Saves a file from the window; answers its path. */
export async function saveFromWindow(bytes: Uint8Array, name: string): Promise<string> {
  try {
    if (!takesText()) return (await bridge()?.invoke("save", bytes, { headers: { name } })) as string;
    await bring(bytes);
    return (await bridge()?.invoke("save", { name })) as string;
  } catch (thrown) {
    throw fault(thrown);
  }
}
