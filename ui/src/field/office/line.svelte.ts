// The line to the office: makes the requests that the core asks for, one after the other, while there is a network.
import type { OfficeAnswer, OfficeErrand, OfficeView } from "../../contract/types";
import { Fault } from "../../transport/door";
import { post, type Answered, type Asked } from "../../transport/post";
import { app } from "../app.svelte";

/** After something was written: long enough for a sentence to be typed to its end. */
const AFTER_WRITING_MS = 4_000;
/** What colleagues wrote is looked for so often while the app is open. */
const EVERY_MS = 60_000;

class Line {
  view = $state.raw<OfficeView | null>(null);
  /** Why it does not go on by itself. */
  halted = $state<string | null>(null);
  carrying = $state(false);
  #again = false;
  /** Ends a pause. */
  #wake: () => void = () => {};
  #next: ReturnType<typeof setTimeout> | undefined;

  /** Looks what this device has to do with an office, and begins to carry. */
  async open(): Promise<void> {
    this.view = (await app.try({ op: "office" }))?.answer ?? null;
    app.written = () => void this.#written();
    addEventListener("online", () => this.hurry());
    this.soon(0);
  }

  /** Where the office is: the host of the pages, or where the window was told. */
  get place(): URL {
    return new URL(this.view?.address ?? location.href);
  }

  /** A page of the office, as somebody else opens it. */
  page = (path: string): string => new URL(path, this.place).href;

  /** Asks to be let in; the window says by which office. */
  async join(code: string, address: string | null): Promise<void> {
    const asked = await app.ask({ op: "ask_to_join", code, address });
    if (asked.answer.step !== "ask") return;
    const answered = await post(asked.answer, asked.bytes);
    this.view = (await app.ask({ op: "join", status: answered.status }, { bytes: answered.bytes })).answer;
    this.halted = null;
    this.soon(0);
  }

  /** Looks again what this device has to do with the office. */
  async look(): Promise<void> {
    this.view = (await app.ask({ op: "office" })).answer;
  }

  /** Makes a key and asks the office to have it certified. */
  async askCertificate(name: string, role: string, passphrase: string): Promise<void> {
    const { answer, bytes } = await app.ask({ op: "ask_certificate", name, role, passphrase });
    if (answer.step !== "ask") return;
    try {
      const { status } = await post(answer, bytes);
      if (status !== 204) throw new Fault("not-reached", "the office did not take it", "Look whether it lets this device in, and try again.");
    } finally {
      await this.look();
    }
  }

  /** Asks the office for something by hand. */
  async errand(errand: OfficeErrand): Promise<OfficeAnswer> {
    const { answer: next, bytes } = await app.ask({ op: "office_ask", errand });
    if (next.step !== "ask") throw new Fault("not-asked", "there was nothing to ask the office", "Try again.");
    const answered = await post(next, bytes);
    return (await app.ask({ op: "office_answered", errand, status: answered.status }, { bytes: answered.bytes })).answer;
  }

  /** All that colleagues took comes here, or what somebody asks for. */
  async fetchColleagues(all: boolean): Promise<void> {
    this.view = (await app.try({ op: "fetch_colleagues", all }))?.answer ?? this.view;
    this.hurry();
  }

  /** What was taken of an inspection comes here from now on. */
  async fetch(inspection: string): Promise<void> {
    this.view = (await app.try({ op: "fetch", inspection }))?.answer ?? this.view;
    this.hurry();
  }

  async leave(): Promise<void> {
    clearTimeout(this.#next);
    this.view = (await app.try({ op: "leave_office" }))?.answer ?? this.view;
    this.halted = null;
  }

  /** Something was written here: from now on not all is at the office. */
  async #written(): Promise<void> {
    if (!this.view?.firm) return;
    this.soon(AFTER_WRITING_MS);
    this.view = (await app.ask({ op: "office" })).answer;
  }

  /** Carries now: whoever is back in a signal does not wait for the end of a pause. */
  hurry(): void {
    this.#wake();
    this.soon(0);
  }

  /** Carries in so many ms, or sooner where that was meant already. */
  soon(ms: number): void {
    clearTimeout(this.#next);
    this.#next = setTimeout(() => void this.carry(), ms);
  }

  /** Carries until all is told. */
  async carry(): Promise<void> {
    if (!this.view?.firm || !navigator.onLine) return;
    if (this.carrying) {
      this.#again = true;
      return;
    }
    this.carrying = true;
    let pause = EVERY_MS;
    try {
      for (let begin = true; ; begin = false) {
        const { answer: next, bytes } = await app.ask({ op: "office_next", begin });
        if (next.step === "ask") {
          const answered = await reach(next, bytes);
          const heard = { op: "office_heard", status: answered?.status ?? null, retry_after: answered?.retryAfter ?? null } as const;
          const before = this.view;
          this.view = (await app.ask(heard, answered ? { bytes: answered.bytes } : {})).answer;
          if (this.view.seen !== before?.seen || this.view.awaited < before.awaited) app.arrivals += 1;
        } else if (next.step === "wait") {
          pause = next.ms;
          await new Promise<void>((done) => {
            this.#wake = done;
            setTimeout(done, next.ms);
          });
        } else {
          this.halted = next.step === "halt" ? next.words : null;
          break;
        }
      }
      this.view = (await app.ask({ op: "office" })).answer;
    } catch (thrown) {
      this.halted = Fault.of(thrown).message;
    } finally {
      this.carrying = false;
    }
    this.soon(this.#again ? 0 : pause);
    this.#again = false;
  }
}

/** What the courier hears of: an answer, or none. */
const reach = (asked: Asked, body: Uint8Array<ArrayBuffer> | null): Promise<Answered | null> => post(asked, body).catch(() => null);

export const line = new Line();
