// A recording that runs: its sources, what they gave so far, and its way into the notebook piece by piece.
import type { RecordingKind } from "../../contract/types";
import { Fault } from "../../transport/door";
import { app } from "../app.svelte";
import { stamp } from "../time";
import { motion, position, sound, type Source, type Take } from "./sources";

/** Half an hour: longer than any road test, and as much as is read in one go. */
const LONGEST_MS = 30 * 60 * 1000;

type Counts = Record<RecordingKind, number>;

export class Recorder {
  phase = $state<"idle" | "starting" | "running" | "stopping">("idle");
  /** What each source gave so far: rows, fixes, seconds. */
  counts = $state<Counts>({ motion: 0, position: 0, sound: 0 });
  /** Whole seconds since it began. */
  seconds = $state(0);
  fault = $state.raw<Fault | null>(null);
  #running: { source: Source; recording: number }[] = [];
  #queue: Promise<unknown> = Promise.resolve();
  #clock: ReturnType<typeof setInterval> | undefined;
  #awake: WakeLockSentinel | null = null;
  #left = false;

  constructor(private readonly inspection: () => string) {}

  /** Begins with whatever the device has and the person allows. `late` is called where it has run as long as it may. */
  async start(late: () => void): Promise<void> {
    this.phase = "starting";
    this.fault = null;
    this.counts = { motion: 0, position: 0, sound: 0 };
    // A dark screen ends the motion of many phones.
    this.#awake = await (navigator.wakeLock?.request("screen").catch(() => null) ?? null);
    for (const [kind, open] of [["motion", motion], ["position", position], ["sound", sound]] as const) {
      // A question of the browser's can stand longer than the screen that asked.
      if (!this.#left) await this.#open(kind, open);
    }
    if (this.#left) {
      await this.stop();
      return;
    }
    const begun = performance.now();
    this.#clock = setInterval(() => {
      this.seconds = Math.floor((performance.now() - begun) / 1000);
      if (performance.now() - begun > LONGEST_MS) late();
    }, 500);
    this.seconds = 0;
    this.phase = "running";
  }

  async #open(kind: RecordingKind, open: (take: Take) => Promise<Source | null>): Promise<void> {
    let recording: number | null = null;
    let nth = 0;
    const early: Uint8Array[] = [];
    const store = (piece: Uint8Array) => {
      nth += 1;
      const request = { op: "add_to_recording", recording: recording ?? 0, nth } as const;
      this.#queue = this.#queue.then(() => app.ask(request, { bytes: piece })).catch((thrown: unknown) => (this.fault = Fault.of(thrown)));
    };
    const source = await open((piece, count) => {
      this.counts[kind] += count;
      if (recording === null) early.push(piece);
      else store(piece);
    }).catch(() => null);
    if (!source) return;
    try {
      const { answer } = await app.ask({ op: "begin_recording", inspection: this.inspection(), kind, rate_hz: source.rate, at: stamp() });
      recording = answer.recording;
      early.forEach(store);
      this.#running.push({ source, recording });
    } catch (thrown) {
      this.fault = Fault.of(thrown);
      await source.stop();
    }
  }

  /** The screen is left: nothing is listened to any longer. What was recorded waits in the notebook to be kept. */
  leave(): void {
    this.#left = true;
    if (this.phase === "running") void this.stop();
  }

  /** Ends it; the numbers of the recordings come back. */
  async stop(): Promise<number[]> {
    this.phase = "stopping";
    clearInterval(this.#clock);
    const ended = this.#running;
    this.#running = [];
    await Promise.all(ended.map(({ source }) => source.stop()));
    await this.#queue;
    await this.#awake?.release().catch(() => {});
    this.phase = "idle";
    return ended.map(({ recording }) => recording);
  }
}
