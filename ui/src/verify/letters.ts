// What the page and the verifier's worker write to each other.

export type ToVerifier =
  | { kind: "check"; file: Blob; roots: readonly string[]; witnesses: KnownWitnesses | null }
  /** What does this text come to? */
  | { kind: "witnesses"; text: string; needed: number };

/** Witnesses whose word a reader takes, as the verifier read them. */
export interface KnownWitnesses {
  names: string[];
  keys: string[];
  /** So many of them have to have signed. */
  needed: number;
}

/** What the firm says today of its reports, and how old that is. */
export interface Heard {
  /** Where it was read. */
  host: string;
  /** When, by the reader's clock. */
  readAt: string;
  /** It could not be read now: this is what was kept. */
  kept: boolean;
}

/** A photograph of a report, as its own record names it. */
export interface ShownPhotograph {
  shows: string;
  caption: string | null;
  width: number;
  height: number;
}

export interface ShownReport {
  car: string | null;
  registration?: string;
  visited_at: string | null;
  photographs: ShownPhotograph[];
}

export type FromVerifier =
  | { kind: "verdict"; whole: boolean; json: string; heard: Heard | null }
  | { kind: "shown"; report: ShownReport; pictures: Blob[] }
  | { kind: "fetching"; done: number; of: number | null }
  | { kind: "drawing" }
  | { kind: "witnesses"; known: KnownWitnesses | null; slip: string | null }
  | { kind: "trouble"; message: string };
