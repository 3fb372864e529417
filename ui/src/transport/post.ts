// The way to the office: the host that the pages come from, or, for the desktop's window, whichever the core names.
import type { OfficeNext } from "../contract/types";
import { Fault } from "./door";
import { carryFromWindow, isWindow } from "./window";

export type Asked = Extract<OfficeNext, { step: "ask" }>;

export interface Answered {
  status: number;
  retryAfter: string | null;
  bytes: Uint8Array;
}

/** Makes the request that the core asks for. Throws a {@link Fault} `not-reached` where no answer came whole. */
export const post = (asked: Asked, body: Uint8Array<ArrayBuffer> | null): Promise<Answered> =>
  isWindow() ? carryFromWindow(asked, body) : fetchHere(asked, body);

async function fetchHere({ method, path, headers }: Asked, body: Uint8Array<ArrayBuffer> | null): Promise<Answered> {
  try {
    const options: RequestInit = { method, headers: headers.map(({ name, value }): [string, string] => [name, value]), cache: "no-store", credentials: "omit" };
    if (method !== "GET" && body?.length) options.body = body;
    const response = await fetch(new URL(path, `${location.origin}/`), options);
    return { status: response.status, retryAfter: response.headers.get("retry-after"), bytes: new Uint8Array(await response.arrayBuffer()) };
  } catch {
    throw new Fault("not-reached", "the office was not reached", "Look whether there is a signal, and try again.");
  }
}
