// The notebook in the browser: two tabs, no storage, a newer build, names that are markup.
import assert from "node:assert/strict";
import { cpSync, mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";

import { device, launch, open, serve, ui, until, validate, verify } from "./stage.mjs";

let browser, host;
before(async () => ([browser, host] = await Promise.all([launch(), serve()])));
after(async () => {
  await browser?.close();
  await host?.close();
});

async function begin(page, registration) {
  await page.getByRole("link", { name: "New inspection" }).click();
  await page.getByLabel("Registration").fill(registration);
  await page.getByRole("button", { name: "Begin" }).click();
  await page.waitForURL(/#\/inspection\//);
  return page.url().split("/").at(-1);
}

test("two tabs: one has the notebook, the other says so and can take it over; nothing is lost", async () => {
  const { context } = await device(browser);
  const first = await open(context, host.url);
  const id = await begin(first, "PMW-0001-A");
  const second = await context.newPage();
  await second.goto(`${host.url}index.html#/inspection/${id}/instruction`);
  await second.getByText("The notebook is open in another tab").waitFor();
  await first.goto(`${host.url}index.html#/inspection/${id}/instruction`);
  await first.getByLabel("Place", { exact: true }).fill("quay");
  await second.getByRole("button", { name: "Go on here" }).click();
  await second.getByLabel("Place", { exact: true }).waitFor();
  await second.waitForFunction(() => document.querySelector("main input")?.value !== undefined);
  await assert.doesNotReject(second.waitForFunction(() => [...document.querySelectorAll("main input")].some((input) => input.value === "quay")));
  await first.getByText("The notebook is open in another tab").waitFor();
  await second.close();
  // The tab that waited has it again.
  await first.getByRole("heading", { level: 1 }).waitFor();
  await first.waitForFunction(() => [...document.querySelectorAll("main input")].some((input) => input.value === "quay"));
  await context.close();
});

test("a browser that keeps nothing says so, and still does the work", async () => {
  const { context } = await device(browser);
  // As in a browser whose private storage is refused to workers.
  await context.route(/worker.*\.js/, async (route) => {
    const answer = await route.fetch();
    await route.fulfill({ response: answer, body: `navigator.storage.getDirectory = () => Promise.reject(new DOMException("refused", "SecurityError"));\n${await answer.text()}` });
  });
  const page = await open(context, host.url);
  await page.getByRole("alert").getByText("This browser keeps nothing").waitFor();
  await begin(page, "PMW-0002-B");
  await page.getByText("PMW-0002-B").first().waitFor();
  await context.close();
});

test("a newer build waits until it is taken, and the notebook stays", async () => {
  const folder = mkdtempSync(join(tmpdir(), "build-"));
  cpSync(join(ui, "dist"), folder, { recursive: true });
  const own = await serve(folder);
  const { context } = await device(browser);
  const page = await open(context, own.url);
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
  await begin(page, "PMW-0003-C");
  await page.reload();
  await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
  // The next build: another shelf.
  const place = join(folder, "service.js");
  writeFileSync(place, readFileSync(place, "utf8").replace(/rimside-[0-9a-f]{16}/, "rimside-0123456789abcdef"));
  await page.evaluate(() => navigator.serviceWorker.getRegistration().then((registration) => registration?.update()).then(() => undefined));
  await page.getByRole("button", { name: "Use it now" }).click();
  await until(page, async () => (await caches.keys()).join() === "rimside-0123456789abcdef");
  await page.getByText("PMW-0003-C").first().waitFor();
  await context.close();
  await own.close();
});

test("killed or stopped while it seals: nothing is half, and it seals again", async () => {
  const passphrase = "four quiet walking steps";
  const { context } = await device(browser);
  let page = await open(context, host.url, "#/keys");
  for (const [label, text] of [["Name of the firm", "Harbour & Vale Inspections"], ["Your name", "Ines Okafor-Lind"], ["Passphrase", passphrase], ["Passphrase once more", passphrase]]) await page.getByLabel(label, { exact: true }).fill(text);
  await page.getByRole("button", { name: "Make the key" }).click();
  await page.getByText("The same, to be read out").waitFor();
  await page.goto(`${host.url}index.html#/`);
  await page.reload();
  const load = page.getByRole("button", { name: "Load the demonstration visits" });
  // Keys are no entries: the notebook is still empty.
  await load.click();
  await page.getByRole("link", { name: /PMW-0417-Q/ }).first().click();
  await page.waitForURL(/#\/inspection\//);
  const seal = `${page.url()}/seal`;
  const begin = async () => {
    await page.goto(seal);
    await page.getByLabel("Passphrase of your signing key").fill(passphrase);
    await page.getByRole("button", { name: "Seal the report" }).click();
    await page.getByText(/of \d+ photographs/).waitFor();
  };
  await begin();
  await page.getByRole("button", { name: "Stop" }).click();
  await page.getByRole("alert").getByText("It was stopped.").waitFor();
  assert.equal(await page.getByText("This browser keeps nothing").count(), 0);
  await begin();
  await page.close();
  page = await open(context, host.url, "#/reports");
  await page.getByText("No report is sealed yet.").waitFor();
  await begin();
  await page.getByRole("heading", { name: "Sealed report" }).waitFor({ timeout: 120_000 });
  await page.getByRole("button", { name: "Check it here" }).click();
  await page.getByRole("heading", { name: /genuine/i }).waitFor({ timeout: 60_000 });
  await context.close();
});

test("a full storage is said, and what was stored stays", async () => {
  const { context } = await device(browser);
  const page = await open(context, host.url);
  const id = await begin(page, "PMW-0005-E");
  await page.goto(`${host.url}index.html#/inspection/${id}/photographs`);
  const session = await context.newCDPSession(page);
  await session.send("Storage.overrideQuotaForOrigin", { origin: new URL(host.url).origin, quotaSize: 1_000_000 });
  // Larger than what is left: a JPEG with a long tail of comments stays a JPEG.
  const picture = await page.evaluate(async () => {
    const canvas = document.createElement("canvas");
    [canvas.width, canvas.height] = [3200, 2400];
    const pen = canvas.getContext("2d");
    for (let y = 0; y < 2400; y += 4) for (let x = 0; x < 3200; x += 4) (pen.fillStyle = `hsl(${Math.random() * 360} 80% 50%)`), pen.fillRect(x, y, 4, 4);
    const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.98));
    return [...new Uint8Array(await blob.arrayBuffer())];
  });
  assert.ok(picture.length > 1_000_000, `${picture.length} bytes`);
  await page.getByLabel("From the device: whole car").setInputFiles({ name: "car.jpg", mimeType: "image/jpeg", buffer: Buffer.from(picture) });
  await page.getByRole("alert").getByText(/full|room|space/i).first().waitFor();
  await session.send("Storage.overrideQuotaForOrigin", { origin: new URL(host.url).origin });
  await page.reload();
  await page.getByLabel("From the device: whole car").setInputFiles({ name: "car.jpg", mimeType: "image/jpeg", buffer: Buffer.from(picture) });
  await page.getByRole("img", { name: "whole car" }).waitFor();
  await context.close();
});

test("what a record says is only ever text", async () => {
  const { context, complaints } = await device(browser);
  const page = await open(context, host.url);
  const evil = `<img src=x onerror="document.title='owned'">`;
  const id = await begin(page, evil);
  for (const [part, label] of [["instruction", "Who instructs"], ["car", "Make and model"], ["rest", "Your own additions"]]) {
    await page.goto(`${host.url}index.html#/inspection/${id}/${part}`);
    await page.getByLabel(label, { exact: true }).fill(`<script>document.title='owned'</script>${evil}`);
    await page.waitForFunction(() => Object.keys(localStorage).every((key) => !key.startsWith("rimside.scratch.")));
  }
  await page.goto(`${host.url}index.html#/inspection/${id}/answer`);
  await page.getByRole("heading", { name: "The inspector's own additions" }).waitFor();
  await page.goto(`${host.url}index.html#/`);
  await page.getByText(evil).first().waitFor();
  assert.equal(await page.locator("main img, main script").count(), 0);
  assert.notEqual(await page.title(), "owned");
  // And the policy would not have let it run.
  const refused = await page.evaluate(() => {
    try {
      document.querySelector("main").innerHTML = "<b>x</b>";
      return false;
    } catch (error) {
      return error instanceof TypeError;
    }
  });
  assert.ok(refused, "markup from a text was accepted");
  complaints.length = 0;
  await context.close();
});

test("a damaged notebook is said, and what can be read is brought over", async () => {
  const { context } = await device(browser);
  const page = await open(context, host.url);
  await begin(page, "PMW-0006-F");
  await page.goto(`${host.url}verify.html`);
  // A page of an index: where SQLite keeps it is fixed, and so is where the pool of files begins.
  const spoilt = await page.evaluate(async () => {
    const [POOL_HEADER, INDEX] = [4096, 4];
    let spoilt = 0;
    async function walk(folder) {
      for await (const entry of folder.values()) {
        if (entry.kind === "directory") {
          await walk(entry);
          continue;
        }
        const file = await entry.getFile();
        const start = await file.slice(POOL_HEADER, POOL_HEADER + 15).text();
        if (start !== "SQLite format 3") continue;
        const size = new DataView(await file.slice(POOL_HEADER + 16, POOL_HEADER + 18).arrayBuffer()).getUint16(0);
        const writer = await entry.createWritable({ keepExistingData: true });
        await writer.write({ type: "write", position: POOL_HEADER + (INDEX - 1) * size, data: new Uint8Array(size).fill(0xa5) });
        await writer.close();
        spoilt += 1;
      }
    }
    await walk(await navigator.storage.getDirectory());
    return spoilt;
  });
  assert.equal(spoilt, 1);
  await page.goto(`${host.url}index.html#/`);
  await page.getByRole("alert").getByText("When the notebook was opened, this was found").waitFor();
  await page.getByRole("button", { name: "Bring over what can be read" }).click();
  await page.getByRole("alert").getByText(/entries, 0 photographs and 0 reports could be read/).waitFor();
  await page.reload();
  await page.getByText("PMW-0006-F").first().waitFor();
  assert.equal(await page.getByRole("alert").count(), 0);
  await context.close();
});

test("a dealer's condition statement, resting on an inspector's report, is sealed and checks", async () => {
  const passphrase = "four quiet walking steps";
  const { context, complaints } = await device(browser);
  const page = await open(context, host.url, "#/keys");
  for (const [label, text] of [["Name of the firm", "Saltmarsh Motor House"], ["Your name", "Owen Hallet-Sand"], ["Passphrase", passphrase], ["Passphrase once more", passphrase]]) await page.getByLabel(label, { exact: true }).fill(text);
  await page.getByRole("button", { name: "Make the key" }).click();
  await page.getByText("The same, to be read out").waitFor();
  await page.goto(`${host.url}index.html#/statement`);
  const typed = [["Who asked", "Amara Quill"], ["How to reach the firm", "owen@saltmarsh.example"], ["Make and model", "Corvane Tessel"], ["Vehicle identification number", "00HVTSL52N0000417"], ["Registration", "PMW-0417-Q"], ["Odometer", "31 240"]];
  for (const [label, text] of typed) await page.getByLabel(label, { exact: true }).fill(text);
  await page.getByRole("button", { name: "Add: Questions and answers" }).click();
  await page.getByLabel("The question, as it was asked").fill("Are all discs the first ones?");
  await page.getByLabel("The answer", { exact: true }).fill("Yes, by the service record.");
  await page.getByLabel("What it rests on").selectOption("own_findings");
  // A page that is killed goes on where it was.
  await page.reload();
  await page.getByLabel("Who asked").waitFor();
  assert.equal(await page.getByLabel("Who asked").inputValue(), "Amara Quill");
  await page.getByRole("button", { name: "Add: What your own workshop found" }).click();
  for (const [label, text] of [["What was looked at or measured, and where", "front right disc"], ["What was found, with unit and how sure", "5 398 g, give or take 5 g"], ["With what, or how", "scale"], ["By whom", "R. Finch-Amory"]]) await page.getByLabel(label, { exact: true }).fill(text);
  await page.getByLabel("Choose a report's file").setInputFiles(join(ui, "dist/demonstration/report.pdf"));
  await page.getByLabel("Passphrase of your signing key").fill(passphrase);
  const seal = page.getByRole("button", { name: "Seal the statement" });
  await seal.click();
  // Without the root of the report's firm it does not stand.
  await page.getByRole("alert").getByText("is no ground for a statement").waitFor({ timeout: 60_000 });
  await page.getByLabel("Add a root").setInputFiles(join(ui, "dist/demonstration/root.pem"));
  await page.getByText("Add a root (1)").waitFor();
  await seal.click();
  await page.getByRole("heading", { name: "Sealed report" }).waitFor({ timeout: 60_000 });
  const folder = mkdtempSync(join(tmpdir(), "statement-"));
  const save = async (press, name) => {
    const coming = page.waitForEvent("download");
    await press();
    const file = join(folder, name);
    await (await coming).saveAs(file);
    return file;
  };
  const statement = await save(() => page.getByRole("button", { name: "Save the file" }).click(), "statement.pdf");
  await page.goto(`${host.url}index.html#/keys`);
  const root = await save(() => page.getByRole("button", { name: "Save the root for readers" }).click(), "root.pem");
  // It stands on two roots: the dealer's own, and that of the report inside.
  const inspectors = join(ui, "dist/demonstration/root.pem");
  assert.equal(verify(statement, root).headline, "cannot-be-fully-confirmed");
  assert.equal(verify(statement, root, inspectors).headline, "genuine-standing-not-checked");
  await page.goto(`${host.url}index.html#/check`);
  await page.getByLabel("Add a root").setInputFiles(inspectors);
  await page.getByRole("button", { name: "Choose a report, or drop it here" }).setInputFiles(statement);
  await page.getByRole("heading", { name: "Genuine, standing not checked" }).first().waitFor({ timeout: 60_000 });
  assert.match(validate(statement, root), /INTACT/);
  await page.goto(`${host.url}index.html#/reports`);
  await page.getByText("condition statement, Owen Hallet-Sand").waitFor();
  assert.deepEqual(complaints, []);
  await context.close();
});
