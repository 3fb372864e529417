// The page on which anybody checks a report: four answers from the file alone, also without a network.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";

import { AxeBuilder } from "@axe-core/playwright";

import { PHONE, SMALL_PHONE, device, launch, serve, ui, until } from "./stage.mjs";

const report = readFileSync(join(ui, "dist/demonstration/report.pdf"));
const root = join(ui, "dist/demonstration/root.pem");
let browser, host;
before(async () => ([browser, host] = await Promise.all([launch(), serve()])));
after(async () => {
  await browser?.close();
  await host?.close();
});

/** Without the worker that keeps the pages, so that a test can stand between page and host. */
async function visit(options = {}, hash = "") {
  const { context, complaints } = await device(browser, { serviceWorkers: "block", ...options });
  const page = await context.newPage();
  await page.goto(`${host.url}verify.html${hash}`);
  await page.getByRole("heading", { level: 1 }).waitFor();
  return { context, page, complaints };
}
const give = (page, name, buffer) => page.getByRole("button", { name: "Choose a report, or drop it here" }).setInputFiles({ name, mimeType: "application/pdf", buffer });
const headline = (page, text) => page.getByRole("heading", { level: 2, name: text }).waitFor({ timeout: 60_000 });

test("a good report, and no Genuine before the pages were drawn again", async () => {
  const { context, page, complaints } = await visit({ viewport: PHONE });
  // The renderer is held back until the first answer was read.
  let letGo;
  const held = new Promise((done) => (letGo = done));
  await context.route(/rimside_web_verify_bg.*\.wasm/, async (route) => {
    const answer = await route.fetch();
    if ((await answer.body()).length > 2_000_000) await held;
    await route.fulfill({ response: answer });
  });
  await page.getByLabel("Add a root").setInputFiles(root);
  await give(page, "report.pdf", report);
  await headline(page, /cannot be fully confirmed/i);
  assert.equal(await page.getByRole("heading", { name: /genuine/i }).count(), 0);
  letGo();
  await headline(page, "Genuine, standing not checked");
  for (const question of ["Unchanged?", "Whose?", "Since when?", "Does it still stand?"]) await page.getByText(question, { exact: true }).waitFor();
  // From paper: the digest as the pages print it, typed.
  const short = await page.locator("p", { hasText: "Digest of the record" }).locator(".mono").innerText();
  await page.getByLabel("From a printed report").fill(short.toUpperCase());
  await page.getByText("The digests are the same.").waitFor();
  await page.getByLabel("From a printed report").fill(`${short.slice(0, -1)}${short.endsWith("0") ? "1" : "0"}`);
  await page.getByText("The digests differ").waitFor();
  const { violations } = await new AxeBuilder({ page }).analyze();
  assert.deepEqual(violations.map((one) => one.id), []);
  assert.deepEqual(complaints, []);
  await context.close();
});

test("a changed byte, a file that was never sealed, a name that is markup", async () => {
  const { context, page, complaints } = await visit({ viewport: SMALL_PHONE, colorScheme: "dark" });
  const changed = Buffer.from(report);
  changed[changed.length >> 1] ^= 1;
  await give(page, `<img src=x onerror="document.title='owned'">.pdf`, changed);
  await headline(page, "Do not rely on this file");
  await give(page, "notes.pdf", Buffer.from("%PDF-1.7\nnothing"));
  await headline(page, "Do not rely on this file");
  assert.equal(await page.locator("main img").count(), 0);
  assert.notEqual(await page.title(), "owned");
  const { violations } = await new AxeBuilder({ page }).analyze();
  assert.deepEqual(violations.map((one) => one.id), []);
  assert.deepEqual(complaints, []);
  await context.close();
});

test("opened from a link beside the page, and never from another place", async () => {
  const { context, page } = await visit({}, "#report=demonstration/report.pdf");
  await headline(page, /cannot be fully confirmed|genuine/i);
  const other = await context.newPage();
  await other.goto(`${host.url}verify.html#report=https://elsewhere.example/report.pdf`);
  await other.getByText("the link names a report of another place").waitFor();
  await context.close();
});

test("a renderer that is not the page's own is not started", async () => {
  const { context, page } = await visit();
  await context.route(/rimside_web_verify_bg.*\.wasm/, async (route) => {
    const answer = await route.fetch();
    const body = await answer.body();
    if (body.length > 2_000_000) body[body.length >> 1] ^= 1;
    await route.fulfill({ response: answer, body });
  });
  await give(page, "report.pdf", report);
  await page.getByRole("alert").getByText("not the one that belongs to this page").waitFor();
  await headline(page, /cannot be fully confirmed/i);
  await context.close();
});

test("once it was open, a report is checked without a network", async () => {
  const { context, page, complaints } = await visit({ serviceWorkers: "allow" });
  await page.evaluate(async () => (await navigator.serviceWorker.ready).active?.state);
  await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
  // Only what checking needs was kept.
  const kept = await page.evaluate(async () => (await (await caches.open((await caches.keys())[0])).keys()).map(({ url }) => url));
  assert.ok(!kept.some((url) => url.endsWith("index.html")), kept.join(" "));
  await context.setOffline(true);
  await page.reload();
  await page.getByLabel("Add a root").setInputFiles(root);
  await give(page, "report.pdf", report);
  await headline(page, "Genuine, standing not checked");
  // And the field app, opened there later, is kept whole.
  await context.setOffline(false);
  await page.goto(`${host.url}index.html`);
  await until(page, async () => (await caches.match("index.html")) !== undefined);
  await context.setOffline(true);
  await page.reload();
  await page.getByRole("heading", { name: "Inspections" }).waitFor();
  assert.deepEqual(complaints.filter((one) => !/ERR_INTERNET_DISCONNECTED/.test(one)), []);
  await context.close();
});
