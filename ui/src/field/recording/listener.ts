// In the sound's own thread: samples to 16 bits, handed over in pieces of some seconds.
declare const sampleRate: number;
declare function registerProcessor(name: string, processor: unknown): void;
declare class AudioWorkletProcessor {
  readonly port: MessagePort;
}

const PIECE_S = 2;

class Listener extends AudioWorkletProcessor {
  #piece = new Int16Array(PIECE_S * sampleRate);
  #filled = 0;
  #ended = false;

  constructor() {
    super();
    this.port.onmessage = () => {
      this.#ended = true;
      this.#hand();
      this.port.postMessage(null);
    };
  }

  process([input]: Float32Array[][]): boolean {
    for (const value of input?.[0] ?? []) {
      this.#piece[this.#filled] = Math.max(-32768, Math.min(32767, Math.round(value * 32768)));
      this.#filled += 1;
      if (this.#filled === this.#piece.length) this.#hand();
    }
    return !this.#ended;
  }

  #hand(): void {
    if (this.#filled === 0) return;
    const bytes = this.#piece.slice(0, this.#filled).buffer;
    this.port.postMessage(bytes, [bytes]);
    this.#filled = 0;
  }
}

registerProcessor("listener", Listener);
