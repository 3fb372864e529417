// What the page and the core's worker write to each other.

export interface ToCore {
  id: number;
  request: string;
  bytes: Uint8Array | null;
  tell: boolean;
}

export type FromCore =
  | { kind: "open"; keeps: boolean; trouble: string | null }
  | { kind: "answer"; id: number; json: string; bytes: Uint8Array<ArrayBuffer> | null }
  | { kind: "fault"; id: number; json: string }
  | { kind: "step"; id: number; json: string };
