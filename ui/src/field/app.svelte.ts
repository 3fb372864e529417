// What every screen can look at: the door to the core, the notebook's fate, where we are.
import { WorkerDoor } from "../transport/worker";
import { WindowDoor, isWindow } from "../transport/window";
import { Fault, type Door, type Errand, type Op, type Reply, type RequestOf } from "../transport/door";
import { save } from "./files";
import type { Settings } from "../contract/types";

/** What adds to the notebook; of it the office hears. */
const WRITES: ReadonlySet<Op> = new Set<Op>(["begin", "write", "undo", "redo", "settle", "photograph", "state_place", "end_recording", "take_in_recording", "measure_drive", "measure_face", "import", "erase", "seal", "state", "withdraw"]);

class App {
  /** Whether the notebook is open here. */
  state = $state<"opening" | "here" | "elsewhere">("opening");
  /** Why the browser keeps nothing. */
  forgets = $state<string | null>(null);
  /** The last fault that no field could show. */
  fault = $state.raw<Fault | null>(null);
  /** Where a file was put, where the person cannot see it by themselves. */
  saved = $state<string | null>(null);
  settings = $state.raw<Settings | null>(null);
  /** A newer build that waits to be used. */
  update = $state.raw<ServiceWorker | null>(null);
  /** Counts how often something of colleagues came: what shows the notebook looks again then. */
  arrivals = $state(0);
  /** Called when something was added to the notebook. */
  written: () => void = () => {};
  #door: Door;

  constructor() {
    this.#door = isWindow()
      ? new WindowDoor(() => (this.state = "here"))
      : new WorkerDoor({
          elsewhere: () => (this.state = "elsewhere"),
          here: (keeps, trouble) => {
            this.state = "here";
            this.forgets = keeps ? null : (trouble ?? "");
          },
        });
  }

  /** Asks the core; a fault is thrown and not shown. */
  async ask<O extends Op>(request: RequestOf<O>, errand?: Errand): Promise<Reply<O>> {
    const reply = await this.#door.ask(request, errand);
    if (WRITES.has(request.op)) this.written();
    return reply;
  }

  /** Asks the core; a fault is shown on the screen, and null comes back. */
  async try<O extends Op>(request: RequestOf<O>, errand?: Errand): Promise<Reply<O> | null> {
    try {
      const reply = await this.ask(request, errand);
      this.fault = null;
      return reply;
    } catch (thrown) {
      this.fault = Fault.of(thrown);
      return null;
    }
  }

  /** Saves a file and says where it is. */
  async save(bytes: Uint8Array<ArrayBuffer> | string, name: string, type: string): Promise<void> {
    try {
      this.saved = await save(bytes, name, type);
    } catch (thrown) {
      this.fault = Fault.of(thrown);
    }
  }

  stop(): Promise<void> {
    return this.#door.stop();
  }

  takeOver(): void {
    if (this.#door instanceof WorkerDoor) this.#door.takeOver();
  }

  show(settings: Settings): void {
    this.settings = settings;
    const root = document.documentElement;
    if (settings.theme === "device") delete root.dataset["theme"];
    else root.dataset["theme"] = settings.theme;
  }
}

export const app = new App();
