// The one way from the pages to the core. Two adapters stand behind it: a worker in a browser, a window on a desktop.
import type { Answers, Request } from "../contract/types";

export type Op = Request["op"];
export type RequestOf<O extends Op> = Extract<Request, { op: O }>;

/** How far a long operation is: in words, and in what it counts. */
export interface Step {
  words: string;
  done: number | null;
  of: number | null;
}

/** What went wrong, with what to do about it. */
export class Fault extends Error {
  constructor(
    readonly code: string,
    message: string,
    readonly hint: string,
  ) {
    super(message);
  }

  /** A fault out of whatever was thrown. */
  static of(thrown: unknown): Fault {
    if (thrown instanceof Fault) return thrown;
    const text = thrown instanceof Error ? thrown.message : String(thrown);
    return new Fault("unexpected", text, "Close this page and open it again. What is stored stays stored.");
  }
}

export interface Reply<O extends Op> {
  answer: Answers[O];
  bytes: Uint8Array<ArrayBuffer> | null;
}

export interface Errand {
  /** What goes with the request: a photograph, a report. */
  bytes?: Uint8Array;
  /** Called with each step of a long operation. */
  tell?: (step: Step) => void;
}

export interface Door {
  /** Asks the core; throws a {@link Fault}. */
  ask<O extends Op>(request: RequestOf<O>, errand?: Errand): Promise<Reply<O>>;
  /** Ends the operation that runs. What it had begun is as if it had never begun. */
  stop(): Promise<void>;
}
