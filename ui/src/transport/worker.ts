// The core in a worker of the browser. One tab at a time has the notebook; another asks for it and is given it.
import address from "../core/worker.ts?worker&url";
import type { FromCore, ToCore } from "../core/letters";
import { Fault, type Door, type Errand, type Op, type Reply, type RequestOf, type Step } from "./door";
import { script } from "./trusted";

const LOCK = "rimside-notebook";
const CALL = "rimside-tabs";

interface Waiting {
  done: (reply: { json: string; bytes: Uint8Array<ArrayBuffer> | null }) => void;
  failed: (fault: Fault) => void;
  tell: ((step: Step) => void) | undefined;
}

/** What happens to the notebook as a whole. */
export interface Fate {
  /** Another tab has it; this one waits until it is free or asked for. */
  elsewhere(): void;
  /** This tab has it. `trouble` says why the browser keeps nothing, where it does not. */
  here(keeps: boolean, trouble: string | null): void;
}

export class WorkerDoor implements Door {
  #worker: Worker | null = null;
  #waiting = new Map<number, Waiting>();
  #number = 0;
  #release: (() => void) | null = null;
  #tabs = new BroadcastChannel(CALL);
  #has: Promise<void>;
  #came!: () => void;

  constructor(private readonly fate: Fate) {
    this.#has = new Promise((came) => (this.#came = came));
    this.#tabs.addEventListener("message", () => this.#giveAway());
    void this.#wait();
  }

  /** Asks the tab that has the notebook to give it to this one. What it stored stays stored. */
  takeOver(): void {
    this.#tabs.postMessage("give");
  }

  async ask<O extends Op>(request: RequestOf<O>, errand: Errand = {}): Promise<Reply<O>> {
    await this.#has;
    const id = (this.#number += 1);
    return new Promise((done, failed) => {
      this.#waiting.set(id, {
        done: ({ json, bytes }) => done({ answer: JSON.parse(json) as Reply<O>["answer"], bytes }),
        failed,
        tell: errand.tell,
      });
      const letter: ToCore = { id, request: JSON.stringify(request), bytes: errand.bytes ?? null, tell: errand.tell !== undefined };
      this.#worker?.postMessage(letter);
    });
  }

  async stop(): Promise<void> {
    // The worker is busy and hears nothing; what it had not stored whole is not stored at all.
    this.#worker?.terminate();
    this.#refuse(new Fault("stopped", "It was stopped.", "Nothing was changed; begin again when you like."));
    this.#has = new Promise((came) => (this.#came = came));
    this.#start();
  }

  async #wait(): Promise<void> {
    const said = setTimeout(() => this.fate.elsewhere(), 300);
    await navigator.locks.request(LOCK, async () => {
      clearTimeout(said);
      this.#start();
      await new Promise<void>((release) => (this.#release = release));
    });
  }

  #giveAway(): void {
    if (this.#release === null) return;
    this.#worker?.terminate();
    this.#worker = null;
    this.#refuse(new Fault("elsewhere", "The notebook went to another tab.", "Go on there, or take it back here."));
    this.#has = new Promise((came) => (this.#came = came));
    this.#release();
    this.#release = null;
    this.fate.elsewhere();
    void this.#wait();
  }

  #start(): void {
    this.#worker = new Worker(script(address), { type: "module" });
    this.#worker.addEventListener("message", (event: MessageEvent<FromCore>) => this.#read(event.data));
    this.#worker.addEventListener("error", (event) => {
      this.#refuse(new Fault("core", event.message || "The core could not be started.", "Open the page again while there is a network."));
    });
  }

  #read(letter: FromCore): void {
    if (letter.kind === "open") {
      this.fate.here(letter.keeps, letter.trouble);
      this.#came();
      return;
    }
    const waiting = this.#waiting.get(letter.id);
    if (letter.kind === "step") {
      waiting?.tell?.(JSON.parse(letter.json) as Step);
      return;
    }
    this.#waiting.delete(letter.id);
    if (letter.kind === "answer") waiting?.done(letter);
    else {
      const { code, message, hint } = JSON.parse(letter.json) as { code: string; message: string; hint: string };
      waiting?.failed(new Fault(code, message, hint));
    }
  }

  #refuse(fault: Fault): void {
    for (const waiting of this.#waiting.values()) waiting.failed(fault);
    this.#waiting.clear();
  }
}
