// The same work in the browser's module and by the command line: a drive and a face, on one thread each, by the clock.
import { spawnSync } from "node:child_process";
import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";

import { target, top, ui } from "../journeys/stage.mjs";

const median = (values) => values.toSorted((one, other) => one - other)[values.length >> 1];
const FOLDER = join(top, "target/bench/scratch/measured");

/** The core as a browser has it, with a notebook that is gone afterwards. */
async function core() {
  const { default: init, Core } = await import(join(ui, "src/core/module/rimside_web.js"));
  await init({ module_or_path: readFileSync(join(ui, "src/core/module/rimside_web_bg.wasm")) });
  return Core.openInMemory();
}

const NOTHING = new Uint8Array();

/** How many times as long the module takes; null where the files of the native figures are not there. */
export async function compare() {
  const file = (name) => join(FOLDER, name);
  const recordings = ["motion.csv", "position.csv", "sound.wav"].map(file);
  if (![...recordings, file("disc.jpg")].every(existsSync)) return null;
  const web = await core();
  const ask = (request, bytes = NOTHING) => JSON.parse(web.call(JSON.stringify(request), bytes).json);
  const inspection = ask({ op: "begin", vin: null, registration: "PMW-0417-Q", at: "2026-11-24T08:00:00+01:00" }).id;
  const labels = recordings.map((path) => ask({ op: "take_in_recording", inspection, name: path.split("/").at(-1) }, readFileSync(path)).label);
  const subject = { of: "face", corner: "rear_left", face: "outer" };
  const photograph = ask({ op: "photograph", inspection, subject, taken: "imported", taken_at: null }, readFileSync(file("disc.jpg"))).label;
  const mark = JSON.parse(readFileSync(file("disc.jpg.mark.json"), "utf8"));
  const clock = (errand) => {
    const start = performance.now();
    errand();
    return performance.now() - start;
  };
  const native = (...args) => {
    const { status, stderr } = spawnSync(join(target, "release/rimside"), args, { encoding: "utf8" });
    if (status !== 0) throw new Error(stderr);
  };
  const pairs = { drive: [], face: [] };
  for (let run = 0; run < 5; run += 1) {
    pairs.drive.push([clock(() => ask({ op: "measure_drive", inspection, recordings: labels })), clock(() => native("recording", ...recordings))]);
    pairs.face.push([clock(() => ask({ op: "measure_face", inspection, photograph, mark })), clock(() => native("photo", file("disc.jpg")))]);
  }
  const ratio = (all) => median(all.map(([one]) => one)) / median(all.map(([, other]) => other));
  return { drive: ratio(pairs.drive), face: ratio(pairs.face) };
}
