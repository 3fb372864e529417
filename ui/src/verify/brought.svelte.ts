// What a reader brings along, kept in this browser: roots that were compared with the firm, witnesses whose word is taken.
import type { KnownWitnesses } from "./letters";

interface Kept {
  roots: string[];
  witnesses: KnownWitnesses | null;
}

const NAME = "rimside.brought";

class Brought {
  roots = $state.raw<readonly string[]>([]);
  witnesses = $state.raw<KnownWitnesses | null>(null);

  constructor() {
    try {
      const kept = JSON.parse(localStorage.getItem(NAME) ?? "null") as Kept | null;
      if (kept) [this.roots, this.witnesses] = [kept.roots, kept.witnesses];
    } catch {
      // A browser that keeps nothing, or what was kept by something else: it is brought again.
    }
  }

  bring(more: { root?: string; witnesses?: KnownWitnesses | null }): void {
    if (more.root !== undefined && !this.roots.includes(more.root)) this.roots = [...this.roots, more.root];
    if (more.witnesses !== undefined) this.witnesses = more.witnesses;
    this.#keep();
  }

  forgetRoots(): void {
    this.roots = [];
    this.#keep();
  }

  #keep(): void {
    try {
      localStorage.setItem(NAME, JSON.stringify({ roots: [...this.roots], witnesses: this.witnesses } satisfies Kept));
    } catch {
      // It counts while the page is open.
    }
  }
}

export const brought = new Brought();
