// Stands in for the worker in the desktop's window, where there is none.
import type { Door } from "./door";
import type { Fate } from "./worker";

export class WorkerDoor implements Door {
  constructor(_fate: Fate) {
    throw new Error("this page belongs into the desktop's window");
  }
  ask = () => Promise.reject(new Error("no core"));
  stop = () => Promise.resolve();
  takeOver(): void {}
}
