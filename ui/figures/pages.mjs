// Figures of the pages, in one run: `cargo xtask bench`. Speeds are of this machine; shares and ratios travel.
import { execFileSync } from "node:child_process";
import { mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

import lighthouse from "lighthouse";

import { PHONE, device, launch, open, serve, target, ui } from "../journeys/stage.mjs";
import { compare } from "./core.mjs";
import { sizes } from "./sizes.mjs";

const SLOWDOWN = 4;
const print = (what, value) => console.log(`${String(value).padStart(10)}  ${what}`);
const median = (values) => values.toSorted((one, other) => one - other)[values.length >> 1];

/** Puts a page on a slow phone's processor. */
async function slow(page) {
  const session = await page.context().newCDPSession(page);
  await session.send("Emulation.setCPUThrottlingRate", { rate: SLOWDOWN });
}

/** Lighthouse, mobile settings: the median of three runs. */
async function rate(url) {
  const port = 9300 + Math.floor(Math.random() * 500);
  const { chromium } = await import("playwright-core");
  const browser = await chromium.launch({ executablePath: "/usr/bin/chromium", args: ["--no-sandbox", "--disable-gpu", "--disable-background-networking", `--remote-debugging-port=${port}`] });
  const scores = [];
  for (let run = 0; run < 3; run += 1) {
    const { lhr } = await lighthouse(url, { port, logLevel: "error", onlyCategories: ["performance", "accessibility", "best-practices"] });
    scores.push(Object.values(lhr.categories).map(({ score }) => Math.round(score * 100)));
    if (process.env.RIMSIDE_DETAILS) for (const audit of Object.values(lhr.audits)) if (audit.score !== null && audit.score < 0.9) console.log("           ", audit.id, audit.score, audit.displayValue ?? "");
  }
  await browser.close();
  return [0, 1, 2].map((place) => median(scores.map((one) => one[place])));
}

/** From the beginning of a reload to the first screen that answers, warm, on a slow processor. */
async function warmStart(browser, host) {
  const { context } = await device(browser, { viewport: PHONE });
  const page = await open(context, host.url);
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
  await page.reload();
  await slow(page);
  const times = [];
  for (let run = 0; run < 5; run += 1) {
    const start = performance.now();
    await page.reload({ waitUntil: "commit" });
    await page.getByText("stored on this device").waitFor();
    times.push(performance.now() - start);
  }
  await context.close();
  return median(times);
}

/** Goes through an inspection's screens on a slow processor: the longest wait to the next paint, and the long tasks. */
async function walk(browser, host, notebook) {
  const { context } = await device(browser, { viewport: PHONE });
  const page = await open(context, host.url);
  await page.goto(`${host.url}index.html#/settings`);
  for (const file of notebook) {
    await page.getByLabel("Take in a saved notebook").setInputFiles(file);
    await page.getByText("photographs were new").waitFor({ timeout: 1_200_000 });
    await page.reload();
    await page.getByRole("heading", { level: 1 }).waitFor();
  }
  await page.goto(`${host.url}index.html`);
  await slow(page);
  await page.evaluate(() => {
    window.waits = [];
    window.tasks = 0;
    new PerformanceObserver((list) => list.getEntries().forEach((entry) => window.waits.push([Math.round(entry.duration), entry.name, location.hash]))).observe({ type: "event", durationThreshold: 16, buffered: false });
    new PerformanceObserver((list) => (window.tasks += list.getEntries().length)).observe({ type: "longtask", buffered: false });
  });
  const registration = "PMW-0417-Q";
  await page.getByRole("searchbox").pressSequentially(registration, { delay: 40 });
  await page.getByRole("link", { name: new RegExp(registration) }).first().click();
  for (const corner of ["Front right", "Rear left"]) {
    await page.getByRole("link", { name: new RegExp(`^${corner}`) }).click();
    await page.getByRole("region", { name: "Bell" }).getByRole("group", { name: "Finish" }).getByLabel("stained").check();
    await page.getByRole("region", { name: "Outer face" }).getByRole("group", { name: "Touch" }).getByLabel("slick").check();
    await page.getByRole("region", { name: "Bell" }).getByLabel("Note").pressSequentially("grey ring", { delay: 40 });
    await page.getByRole("button", { name: "Undo" }).click();
    await page.getByRole("link", { name: "Back" }).click();
    await page.getByRole("navigation", { name: "Parts of the inspection" }).waitFor();
  }
  for (const part of ["Instruction and inspector", "Car and brakes", "Day and road", "Road test", "Photographs of the car", "Prices and use"]) {
    await page.getByRole("link", { name: new RegExp(`^${part}`) }).click();
    await page.getByRole("heading", { level: 1, name: part }).waitFor();
    await page.getByRole("link", { name: "Back" }).click();
  }
  await page.getByRole("link", { name: "The answer" }).last().click();
  await page.getByRole("heading", { name: "Figures, and where they come from" }).waitFor();
  await page.locator("summary", { hasText: "Rear left" }).click();
  const { waits, tasks } = await page.evaluate(() => ({ waits: window.waits, tasks: window.tasks }));
  await context.close();
  waits.sort(([one], [other]) => other - one);
  if (process.env.RIMSIDE_DETAILS) console.log(waits.slice(0, 12));
  return { longest: waits[0]?.[0] ?? 0, tasks };
}

const PASSPHRASE = "four quiet walking steps";

/** Seals the one inspection of a notebook with the command line. */
function sealNative(notebook) {
  const folder = mkdtempSync(join(tmpdir(), "seal-"));
  const run = (program, ...args) => execFileSync(program, args, { cwd: folder, stdio: "ignore" });
  run("python3", "-m", "zipfile", "-e", notebook, ".");
  writeFileSync(join(folder, "passphrase"), PASSPHRASE);
  const rimside = join(target, "release/rimside");
  run(rimside, "firm", "found", "firm", "--name", "Harbour & Vale Inspections", "--passphrase-file", "passphrase");
  run(rimside, "certify", "--name", "Ines Okafor-Lind", "--role", "inspector", "--id", "ines", "--firm", "firm", "--passphrase-file", "passphrase");
  const name = readdirSync(join(folder, "inspections")).find((file) => file.endsWith(".json"));
  const times = [1, 2, 3].map((nth) => {
    const start = performance.now();
    run(rimside, "seal", `inspections/${name}`, "--photographs", `photographs/${name.replace(".json", "")}`, "--firm", "firm", "--as", "ines", "--out", `${nth}.pdf`, "--passphrase-file", "passphrase");
    return performance.now() - start;
  });
  rmSync(folder, { recursive: true });
  return median(times);
}

/** The same in the browser, from the press of the button to the sealed report. */
async function sealInBrowser(browser, host, notebook) {
  const { context } = await device(browser, { viewport: PHONE });
  const page = await open(context, host.url, "#/keys");
  for (const [label, text] of [["Name of the firm", "Harbour & Vale Inspections"], ["Your name", "Ines Okafor-Lind"], ["Passphrase", PASSPHRASE], ["Passphrase once more", PASSPHRASE]]) await page.getByLabel(label, { exact: true }).fill(text);
  await page.getByRole("button", { name: "Make the key" }).click();
  await page.getByText("The same, to be read out").waitFor();
  await page.goto(`${host.url}index.html#/settings`);
  await page.getByLabel("Take in a saved notebook").setInputFiles(notebook);
  await page.getByText("photographs were new").waitFor({ timeout: 600_000 });
  await page.goto(`${host.url}index.html#/`);
  await page.getByRole("link", { name: /PMW-/ }).first().click();
  await page.waitForURL(/#\/inspection\//);
  const seal = `${page.url()}/seal`;
  const times = [];
  for (let run = 0; run < 3; run += 1) {
    await page.goto(seal);
    await page.getByLabel("Passphrase of your signing key").fill(PASSPHRASE);
    const start = performance.now();
    await page.getByRole("button", { name: "Seal the report" }).click();
    await page.getByRole("heading", { name: "Sealed report" }).waitFor({ timeout: 600_000 });
    times.push(performance.now() - start);
  }
  await context.close();
  return median(times);
}

const dist = join(ui, "dist");
const measured = await compare();
if (measured) {
  print("a drive of twenty minutes, module / native, wall time (aim 3)", measured.drive.toFixed(1));
  print("a face of 12 megapixels, module / native, wall time (aim 3)", measured.face.toFixed(1));
}
for (const [what, value] of sizes(dist)) print(what, value);
const host = await serve();
for (const entry of ["index.html", "verify.html"]) {
  const [performance_, accessibility, practices] = await rate(host.url + entry);
  print(`${entry}: Lighthouse performance, mobile (aim 95)`, performance_);
  print(`${entry}: Lighthouse accessibility (aim 100)`, accessibility);
  print(`${entry}: Lighthouse best practices (aim 95)`, practices);
}
const browser = await launch();
print(`field app, warm start at ${SLOWDOWN}× slowdown, ms (aim 2 000)`, Math.round(await warmStart(browser, host)));
const demonstration = join(dist, "demonstration/notebook.zip");
const small = await walk(browser, host, [demonstration]);
print("interaction to next paint, longest, three inspections, ms (aim 200)", small.longest);
print("long tasks on the way, three inspections", small.tasks);
const [largeBook, forty] = process.argv.slice(2);
if (forty) {
  const here = sealNative(forty);
  const there = await sealInBrowser(browser, host, forty);
  print("sealing 40 photographs of 12 megapixels, browser / native, wall time (aim 4)", (there / here).toFixed(1));
  print("  of these natively, ms", Math.round(here));
}
if (largeBook) {
  const large = await walk(browser, host, [largeBook, demonstration]);
  print("the same walk with 200 inspections and 8 000 photographs more, ms (aim 200)", large.longest);
  print("long tasks on the way (aim: no more)", large.tasks);
}
await browser.close();
await host.close();
