// The core in the desktop's own process, behind the window.
import { toBase64 } from "./base64";
import type { Answered, Asked } from "./post";
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
      const brought = errand.bytes ? await bring(errand.bytes) : null;
      const watched = errand.tell !== undefined;
      const watch = watched ? setInterval(() => void this.#tell(errand.tell), 150) : undefined;
      try {
        const { json, bytes } = open((await bridge()?.invoke("ask", { request: JSON.stringify(request), brought, watched })) as ArrayBuffer);
        return { answer: json as Reply<O>["answer"], bytes: bytes.length > 0 ? bytes : null };
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

let brought = 0;

/** Bytes go ahead of their request, by themselves: as part of it they would be written out as numbers. Their number tells
    which request they belong to. */
async function bring(bytes: Uint8Array): Promise<number> {
  const number = (brought += 1);
  if (!takesText()) {
    await bridge()?.invoke("bring", bytes, { headers: { number: String(number) } });
    return number;
  }
  let at = 0;
  do {
    const piece = bytes.subarray(at, at + PIECE);
    await bridge()?.invoke("bring", { base64: toBase64(piece), begins: at === 0, number });
    at += PIECE;
  } while (at < bytes.length);
  return number;
}

/** A reply: the length of its JSON in four bytes, the JSON, the bytes that were asked for. */
function open(reply: ArrayBuffer): { json: unknown; bytes: Uint8Array<ArrayBuffer> } {
  const length = new DataView(reply).getUint32(0);
  const json = new TextDecoder().decode(new Uint8Array(reply, 4, length));
  return { json: JSON.parse(json), bytes: new Uint8Array(reply.slice(4 + length)) };
}

/** Makes a request to the office from the window, whose pages come from no host. */
export async function carryFromWindow(asked: Asked, body: Uint8Array<ArrayBuffer> | null): Promise<Answered> {
  try {
    const brought = body?.length ? await bring(body) : null;
    const { json, bytes } = open((await bridge()?.invoke("carry", { asked, brought })) as ArrayBuffer);
    const { status, retry_after } = json as { status: number; retry_after: string | null };
    return { status, retryAfter: retry_after, bytes };
  } catch (thrown) {
    throw fault(thrown);
  }
}

function fault(thrown: unknown): Fault {
  const { code, message, hint } = (thrown ?? {}) as { code?: string; message?: string; hint?: string };
  return code && message ? new Fault(code, message, hint ?? "") : Fault.of(thrown);
}

/** Saves a file from the window; answers its path. */
export async function saveFromWindow(bytes: Uint8Array, name: string): Promise<string> {
  try {
    if (!takesText()) return (await bridge()?.invoke("save", bytes, { headers: { name } })) as string;
    return (await bridge()?.invoke("save", { name, brought: await bring(bytes) })) as string;
  } catch (thrown) {
    throw fault(thrown);
  }
}
