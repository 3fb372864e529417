// What every journey needs: the built pages on loopback, a browser, a phone.
import { execFileSync, spawnSync } from "node:child_process";
import { existsSync, mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

import { chromium } from "playwright-core";
import { preview } from "vite";

export const ui = join(dirname(fileURLToPath(import.meta.url)), "..");
export const top = join(ui, "..");
export const target = process.env.CARGO_TARGET_DIR ?? join(top, "target");
export const PHONE = { width: 390, height: 844 };
export const SMALL_PHONE = { width: 360, height: 640 };
export const DESK = { width: 1280, height: 800 };

const BROWSER = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"].find((path) => existsSync(path));
let port = 4800;

/** The pages, served as they would be by any host; `close` is the server gone. */
export async function serve(outDir = join(ui, "dist")) {
  const server = await preview({ root: ui, logLevel: "error", build: { outDir }, preview: { port: (port += 1), strictPort: false, open: false } });
  const url = server.resolvedUrls.local[0];
  return { url, close: () => server.close() };
}

/** The demonstration's visits, written anew: their photographs and recordings stand in no checkout. Gives the folder's path. */
export function writeVisits() {
  const folder = mkdtempSync(join(tmpdir(), "visits-"));
  execFileSync(join(target, "debug/rimside-demo"), ["write", folder, "--width", "400"]);
  return folder;
}

/** A browser with a camera that shows a test picture and a microphone that hears a tone, or what `more` says. */
export function launch(more = []) {
  return chromium.launch({
    executablePath: BROWSER,
    args: ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--use-fake-device-for-media-stream", "--use-fake-ui-for-media-stream", ...more],
  });
}

/** A fresh device. Whatever its pages complain about is kept in `complaints`. */
export async function device(browser, { viewport = PHONE, ...more } = {}) {
  const context = await browser.newContext({ viewport, hasTouch: viewport.width < 600, acceptDownloads: true, permissions: ["camera"], ...more });
  context.setDefaultTimeout(20_000);
  const complaints = [];
  context.on("weberror", (error) => complaints.push(String(error.error())));
  context.on("console", (message) => message.type() === "error" && complaints.push(message.text()));
  return { context, complaints };
}

/** Opens the app and waits until the notebook is there. */
export async function open(context, url, hash = "") {
  const page = await context.newPage();
  await page.goto(`${url}index.html${hash}`);
  await page.getByRole("heading", { level: 1 }).waitFor();
  return page;
}

/** What the Rust verifier says of a file. */
export function verify(report, ...roots) {
  const brought = roots.flatMap((root) => ["--root", root]);
  const said = spawnSync(join(target, "debug/rimside"), ["verify", report, ...brought, "--json"], { encoding: "utf8" });
  if (said.stdout === "") throw new Error(said.stderr);
  return JSON.parse(said.stdout);
}

/** What an independent validator says of a file. */
export function validate(report, root) {
  const python = join(top, ".tools/venv/bin/pyhanko");
  return execFileSync(python, ["sign", "validate", "--trust", root, report], { encoding: "utf8" });
}

/** Asks the page until the answer is yes, also across a reload. The driver's own way of waiting takes a promise for a yes. */
export async function until(page, asked, most = 20_000) {
  const end = Date.now() + most;
  let late;
  const never = new Promise((_, refuse) => (late = setTimeout(() => refuse(new Error(`never came: ${asked}`)), most)));
  try {
    while (Date.now() < end) {
      // A page that is on its way to another one gives no answer.
      const answer = page.waitForLoadState("load").then(() => page.evaluate(asked)).catch(() => false);
      if (await Promise.race([answer, never])) return;
    }
    await never;
  } finally {
    clearTimeout(late);
  }
}
