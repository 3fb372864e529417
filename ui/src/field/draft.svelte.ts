// The inspection that is open: what the notebook holds, and what is on its way there.
import type { DraftView } from "../contract/types";
import { Fault } from "../transport/door";
import { app } from "./app.svelte";
import { forget } from "./scratch";

export class Draft {
  view = $state.raw<DraftView>(null as unknown as DraftView);
  /** Values that were written and not answered yet. */
  #ahead = $state.raw<Record<string, unknown>>({});
  /** What the core refused, by path. */
  faults = $state.raw<Record<string, Fault>>({});
  writing = $state(0);
  #queue: Promise<unknown> = Promise.resolve();

  constructor(view: DraftView) {
    this.view = view;
  }

  get id(): string {
    return this.view.id;
  }

  /** The value of a field, as it will stand; undefined where there is none. */
  value<T>(path: string): T | undefined {
    return (path in this.#ahead ? (this.#ahead[path] ?? undefined) : this.view.fields[path]) as T | undefined;
  }

  /** The labels and values of a list, as `readings`, in the order of their labels. */
  list<T>(path: string): [string, T][] {
    const start = `${path}.`;
    const all = { ...this.view.fields, ...this.#ahead };
    return Object.entries(all)
      .filter(([key, value]) => key.startsWith(start) && value !== null)
      .sort(([one], [other]) => one.localeCompare(other))
      .map(([key, value]) => [key.slice(start.length), value as T]);
  }

  /** A label that no thing of the list has or had in this view, nor on any other device. */
  label(path: string, name = ""): string {
    const used = Object.keys(this.view.written)
      .concat(Object.keys(this.#ahead))
      .filter((key) => key.startsWith(`${path}.${name}`))
      .map((key) => Number.parseInt(key.slice(path.length + 1 + name.length), 10))
      .filter(Number.isFinite);
    return `${name}${String(Math.max(0, ...used) + 1).padStart(4, "0")}-${this.view.label_ending}`;
  }

  /** Whether a part has anything in it. */
  has(path: string): boolean {
    const start = `${path}.`;
    return Object.keys(this.view.fields).some((key) => key.startsWith(start)) || Object.entries(this.#ahead).some(([key, value]) => key.startsWith(start) && value !== null);
  }

  /** What is still to be done below a path. */
  missing(path: string): number {
    return this.view.missing.filter((one) => one.path === path || one.path.startsWith(`${path}.`)).length;
  }

  /** Writes a field; null takes its value away. True once the notebook has it. */
  write(path: string, value: unknown): Promise<boolean> {
    this.#ahead = { ...this.#ahead, [path]: value };
    return this.#change(path, { op: "write", inspection: this.id, path, value });
  }

  undo(): Promise<boolean> {
    return this.#change("", { op: "undo", inspection: this.id });
  }

  redo(): Promise<boolean> {
    return this.#change("", { op: "redo", inspection: this.id });
  }

  settle(path: string, entry: string): Promise<boolean> {
    return this.#change(path, { op: "settle", inspection: this.id, path, entry });
  }

  /** Looks again: somebody else may have written. What is on its way to the notebook goes before. */
  look(): Promise<unknown> {
    const done = this.#queue.then(async () => {
      const reply = await app.ask({ op: "read", inspection: this.id }).catch(() => null);
      if (reply) this.view = reply.answer;
    });
    return (this.#queue = done);
  }

  /** Takes what the core answered some other way. */
  take(view: DraftView): void {
    this.view = view;
  }

  #change(path: string, request: Parameters<typeof app.ask<"write" | "undo" | "redo" | "settle">>[0]): Promise<boolean> {
    this.writing += 1;
    const value = this.#ahead[path];
    const done = this.#queue.then(async () => {
      try {
        const { answer } = await app.ask(request);
        this.view = answer;
        this.faults = without(this.faults, path);
        forget(this.id, path);
        return true;
      } catch (thrown) {
        const fault = Fault.of(thrown);
        if (path === "") app.fault = fault;
        else this.faults = { ...this.faults, [path]: fault };
        return false;
      } finally {
        this.writing -= 1;
        // A later value of the same field is still on its way.
        if (this.#ahead[path] === value) this.#ahead = without(this.#ahead, path);
      }
    });
    this.#queue = done;
    return done;
  }
}

function without<T>(record: Record<string, T>, key: string): Record<string, T> {
  return Object.fromEntries(Object.entries(record).filter(([other]) => other !== key));
}
