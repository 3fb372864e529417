// What a page sends before its first answer, and in all: gzip at its usual level, as hosts send it.
import { readFileSync, readdirSync } from "node:fs";
import { join } from "node:path";
import { gzipSync } from "node:zlib";

const kB = (bytes) => Math.round(bytes / 1000);

export function sizes(dist) {
  const files = readdirSync(join(dist, "assets")).map((name) => ({ name, bytes: gzipSync(readFileSync(join(dist, "assets", name)), { level: 9 }).length }));
  const sum = (test) => kB(files.filter(({ name }) => test(name)).reduce((all, { bytes }) => all + bytes, 0));
  const modules = files.filter(({ name }) => name.startsWith("rimside_web_verify") && name.endsWith(".wasm")).sort((one, other) => one.bytes - other.bytes);
  const [signature, whole] = modules.map(({ bytes }) => bytes);
  // The verify page's worker is the smaller of the two workers; both are counted to be safe.
  const shared = (name) => name.endsWith(".css") || name.startsWith("Drop") || name.startsWith("verify") || name.startsWith("worker");
  return [
    ["verifier's module, gzip kB (aim 200)", kB(signature)],
    ["verify page to its first answer, gzip kB (aim 300)", kB(signature) + sum(shared)],
    ["renderer's module, gzip kB (aim 2 500)", kB(whole)],
    ["field entry, gzip kB (aim 3 000)", sum((name) => !name.startsWith("rimside_web_verify") && !name.startsWith("verify"))],
  ];
}
