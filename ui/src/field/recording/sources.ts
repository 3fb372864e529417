// What a phone can tell of a drive: its motion, its place, what is to be heard. Each source gives bytes in pieces, in the
// form that the core asks for.
import address from "./listener.ts?worker&url";
import type { RecordingKind } from "../../contract/types";

/** Takes a piece; `count` is how much it is in what the source counts. */
export type Take = (piece: Uint8Array, count: number) => void;

export interface Source {
  readonly kind: RecordingKind;
  /** Samples a second of a sound; 0 of anything else. */
  readonly rate: number;
  /** Hands over what it has so far and tells no more. */
  stop(): Promise<void>;
}

/** Lines go out together: a piece for each would be many. */
const LINES_S = 2;

function lines(take: Take): { add(line: string): void; stop(): Promise<void> } {
  let waiting: string[] = [];
  const hand = () => {
    if (waiting.length === 0) return;
    take(new TextEncoder().encode(waiting.join("")), waiting.length);
    waiting = [];
  };
  const every = setInterval(hand, LINES_S * 1000);
  return {
    add: (line) => waiting.push(line),
    stop: async () => {
      clearInterval(every);
      hand();
    },
  };
}

/** Time from the beginning in seconds; the three sources have clocks of their own, which the core puts together. */
const seconds = (from: number, now: number) => ((now - from) / 1000).toFixed(4);

export async function motion(take: Take): Promise<Source | null> {
  const Kind = globalThis.DeviceMotionEvent as (typeof DeviceMotionEvent & { requestPermission?: () => Promise<string> }) | undefined;
  if (!Kind) return null;
  // Some phones ask the person, and only where a finger has just been.
  if (Kind.requestPermission && (await Kind.requestPermission().catch(() => "denied")) !== "granted") return null;
  const out = lines(take);
  let from: number | null = null;
  let last = -1;
  const hear = (event: DeviceMotionEvent) => {
    const { x, y, z } = event.accelerationIncludingGravity ?? {};
    if (typeof x !== "number" || typeof y !== "number" || typeof z !== "number") return;
    from ??= event.timeStamp;
    // An event that comes twice with one time is no second reading.
    if (event.timeStamp <= last) return;
    last = event.timeStamp;
    out.add(`${seconds(from, event.timeStamp)},${x.toFixed(4)},${y.toFixed(4)},${z.toFixed(4)}\n`);
  };
  addEventListener("devicemotion", hear);
  return {
    kind: "motion",
    rate: 0,
    stop: () => {
      removeEventListener("devicemotion", hear);
      return out.stop();
    },
  };
}

export async function position(take: Take): Promise<Source | null> {
  if (!("geolocation" in navigator)) return null;
  const out = lines(take);
  let from: number | null = null;
  let last = -1;
  const watch = navigator.geolocation.watchPosition(
    ({ timestamp, coords }) => {
      from ??= timestamp;
      if (timestamp <= last) return;
      last = timestamp;
      const speed = typeof coords.speed === "number" && Number.isFinite(coords.speed) ? coords.speed.toFixed(3) : "";
      out.add(`${seconds(from, timestamp)},${coords.latitude},${coords.longitude},${speed}\n`);
    },
    () => {},
    { enableHighAccuracy: true, maximumAge: 0 },
  );
  return {
    kind: "position",
    rate: 0,
    stop: () => {
      navigator.geolocation.clearWatch(watch);
      return out.stop();
    },
  };
}

export async function sound(take: Take): Promise<Source | null> {
  // What makes a voice clear makes a brake's sound another.
  const plain = { echoCancellation: false, noiseSuppression: false, autoGainControl: false, channelCount: 1 };
  const stream = await navigator.mediaDevices?.getUserMedia({ audio: plain, video: false }).catch(() => null);
  if (!stream) return null;
  const context = new AudioContext();
  await context.audioWorklet.addModule(address);
  const listener = new AudioWorkletNode(context, "listener", { numberOfInputs: 1, numberOfOutputs: 0, channelCount: 1 });
  let ended = () => {};
  const end = new Promise<void>((done) => (ended = done));
  listener.port.onmessage = ({ data }: MessageEvent<ArrayBuffer | null>) => {
    if (data === null) ended();
    else take(new Uint8Array(data), data.byteLength / 2 / context.sampleRate);
  };
  context.createMediaStreamSource(stream).connect(listener);
  await context.resume();
  return {
    kind: "sound",
    rate: context.sampleRate,
    stop: async () => {
      listener.port.postMessage(null);
      await end;
      for (const track of stream.getTracks()) track.stop();
      await context.close();
    },
  };
}
