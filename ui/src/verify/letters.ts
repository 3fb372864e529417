// What the page and the verifier's worker write to each other.

export interface ToVerifier {
  file: Blob;
  roots: readonly string[];
}

export type FromVerifier =
  | { kind: "verdict"; whole: boolean; json: string }
  | { kind: "fetching"; done: number; of: number | null }
  | { kind: "drawing" }
  | { kind: "trouble"; message: string };
