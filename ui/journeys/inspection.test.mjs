// From installing to a sealed report without a network, on a phone; killed in between, and going on where it was.
import assert from "node:assert/strict";
import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";

import { device, launch, open, serve, validate, verify } from "./stage.mjs";

const PASSPHRASE = "four quiet walking steps";
let browser, host;
before(async () => ([browser, host] = await Promise.all([launch(), serve()])));
after(async () => {
  await browser?.close();
  await host?.close();
});

/** Waits until the service worker has everything, then takes the network away. */
async function goOffline(page, context) {
  await page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
  await page.reload();
  await page.waitForFunction(() => navigator.serviceWorker.controller !== null);
  await host.close();
  await context.setOffline(true);
  await page.reload();
  await page.getByRole("link", { name: "New inspection" }).waitFor();
}
/** Waits until the notebook has what was typed. */
const stored = (page) => page.waitForFunction(() => Object.keys(localStorage).every((key) => !key.startsWith("rimside.scratch.")));
async function write(page, fields) {
  for (const [label, text] of fields) await page.getByLabel(label, { exact: true }).fill(text);
}
const pick = (where, question, answer) => where.getByRole("group", { name: question, exact: true }).getByLabel(answer, { exact: true }).check();
const go = (page, id, part) => page.goto(`${new URL(page.url()).origin}/index.html#/inspection/${id}/${part}`);

test("an inspection from installing to a sealed report, offline", async () => {
  const { context, complaints } = await device(browser);
  let page = await open(context, host.url);
  await goOffline(page, context);

  // The key.
  await page.getByRole("link", { name: "Signing keys" }).click();
  await write(page, [["Name of the firm", "Harbour & Vale Inspections"], ["Your name", "Ines Okafor-Lind"], ["Passphrase", PASSPHRASE], ["Passphrase once more", PASSPHRASE]]);
  await page.getByRole("button", { name: "Make the key" }).click();
  await page.getByText("Fingerprint of the root", { exact: true }).waitFor();
  const folder = mkdtempSync(join(tmpdir(), "journey-"));
  const save = async (name, file) => {
    const [download] = await Promise.all([page.waitForEvent("download"), page.getByRole("button", { name }).click()]);
    const path = join(folder, file);
    await download.saveAs(path);
    return path;
  };
  const root = await save("Save the root for readers", "root.pem");

  // Begun by registration.
  await page.getByRole("link", { name: "Done" }).click();
  await page.getByRole("link", { name: "New inspection" }).click();
  await page.getByRole("button", { name: "Begin" }).click();
  await page.getByRole("alert").getByText("Enter one of the two").waitFor();
  await page.getByLabel("Registration").fill("PMW-0417-Q");
  await page.getByRole("button", { name: "Begin" }).click();
  await page.waitForURL(/#\/inspection\//);
  const id = page.url().split("/").at(-1);

  // Killed in the middle of typing: the page is gone before the pause after the last key is over.
  await go(page, id, "instruction");
  await page.getByLabel("Place", { exact: true }).pressSequentially("Saltmarsh Motor House, Port Mer");
  await page.close();
  page = await context.newPage();
  await page.goto(`${host.url}index.html#/inspection/${id}/instruction`);
  await page.waitForFunction(() => document.querySelector("main input[type=text], main input:not([type])") !== null);
  assert.equal(await page.getByLabel("Place", { exact: true }).inputValue(), "Saltmarsh Motor House, Port Mer");

  await write(page, [
    ["Place", "Saltmarsh Motor House, Port Merrow"],
    ["Who instructs", "Amara Quill"],
    ["Owner of the car", "Saltmarsh Motor House"],
    ["How the owner gave leave to inspect and drive", "in writing on 2026-11-23"],
    ["Inspector", "Ines Okafor-Lind"],
    ["Firm", "Harbour & Vale Inspections"],
    ["Ties to buyer, seller or parts trade, or that there are none", "none"],
    ["Professional cover, or that there is none", "Lantern Mutual, EUR 500 000"],
    ["How to reach the firm", "office@harbour-vale.example"],
  ]);
  await pick(page, "Their part in the sale", "buyer");

  await go(page, id, "car");
  await write(page, [
    ["Vehicle identification number", "00RTSXA18R0000417"],
    ["Make and model", "Corvane Tessel"],
    ["Odometer", "19460"],
    ["Tyre, front", "255/35 R20"],
    ["Tyre, rear", "305/30 R20"],
    ["Lining when new, front", "11.5"],
    ["Renewal mark of the lining, front", "2,5"],
  ]);
  await pick(page, "Discs, front", "carbon-ceramic");
  await pick(page, "Discs, rear", "carbon-ceramic");
  await page.getByText("Disc front left: its own marks").click();
  await write(page.locator("details", { hasText: "Disc front left: its own marks" }), [["Least mass as marked", "5200"], ["Mass when new", "5600"]]);

  await go(page, id, "day");
  await pick(page, "Weather", "dry");
  await pick(page, "Road surface", "dry hard surface");
  await write(page, [["Tyres: state and pressures", "even wear, 2.3 bar"]]);

  // The road test waits for the corners.
  await go(page, id, "road");
  await page.getByText("The corners come first").waitFor();

  // One corner in full.
  await go(page, id, "corner/front_left");
  for (const face of ["Outer face", "Inner face"]) {
    const part = page.getByRole("region", { name: face });
    await pick(part, "How it was seen", "wheel off");
    await pick(part, "Touch", "slightly rough");
    await pick(part, "Fibre pattern", "clear");
    await pick(part, "Colour", "dark grey");
  }
  const outer = page.getByRole("region", { name: "Outer face" });
  await outer.getByRole("button", { name: "at 4 o'clock, outer third" }).click();
  await pick(outer, "What it is", "chip");
  await outer.getByLabel("Largest dimension").fill("3,5");
  await outer.getByText("chip, 3.5 mm, at 4 o'clock, outer third").waitFor();
  const bell = page.getByRole("region", { name: "Bell" });
  await pick(bell, "Finish", "even");
  await bell.getByLabel("Fixings missing or loose").fill("0");
  await pick(bell, "A fixing is corroded", "no");
  for (const pad of ["Outer pad", "Inner pad"]) await pick(page.getByRole("region", { name: pad }), "Wear lead", "intact");
  await pick(page.getByRole("region", { name: "Calliper" }), "State", "free");

  for (const [kind, figure, uncertainty, instrument] of [["disc mass", "5,412", "0.003", "bench scale"], ["lining without backing plate", "7.4", "0.2", "depth gauge"]]) {
    await page.getByRole("button", { name: kind, exact: true }).click();
    if (kind === "disc mass") await page.getByRole("group", { name: "Unit" }).getByLabel("kg", { exact: true }).check();
    await write(page, [["Figure", figure], ["Standard uncertainty of one figure", uncertainty], ["Instrument", instrument]]);
    await page.getByRole("button", { name: "Store the reading" }).click();
    await page.getByRole("button", { name: "Store the reading" }).waitFor({ state: "detached" });
  }
  await page.getByText("5.412", { exact: true }).waitFor();

  // A photograph with the camera, looked at before it is taken.
  await page.getByRole("button", { name: "Take: outer face, front left" }).click();
  await page.getByRole("button", { name: "Take the photograph" }).click();
  await page.getByText("Stored.", { exact: true }).waitFor();
  await page.getByRole("dialog").getByRole("button", { name: "Done" }).click();
  await page.getByRole("img", { name: "outer face, front left" }).waitFor();

  // The others were not inspected, and it says why. An undo takes the last reason back, a redo puts it there again.
  for (const corner of ["front_right", "rear_left", "rear_right"]) {
    await go(page, id, `corner/${corner}`);
    await page.getByRole("heading", { level: 1, name: corner.replace("_", " ") }).waitFor();
    await page.getByRole("button", { name: "Not inspected …" }).last().click();
    await page.getByLabel("Not inspected because").fill("no time on the day");
    await stored(page);
  }
  await page.getByRole("button", { name: "Undo" }).click();
  await page.getByRole("region", { name: "Outer face" }).waitFor();
  await page.getByRole("button", { name: "Redo" }).click();
  await page.getByLabel("Not inspected because").waitFor();

  // The road test, cautions first.
  await go(page, id, "road");
  await page.getByText("The driver never holds the phone").waitFor();
  await page.getByRole("button", { name: "I have read this; go on" }).click();
  await write(page, [["Who drove", "Ines Okafor-Lind"], ["How far", "3"]]);
  await page.getByRole("button", { name: "low-speed dab" }).click();
  await page.getByLabel("From which speed").fill("8");
  await page.getByRole("group", { name: "Felt" }).getByLabel("sharp bite").check();
  await page.getByRole("group", { name: "Heard" }).getByLabel("nearly silent").check();
  await page.getByText("1. low-speed dab, 8 km/h, sharp bite, nearly silent").waitFor();

  // Killed as a tab crashes, while the notebook writes.
  await page.getByLabel("Note", { exact: true }).last().fill("quiet side road");
  await page.goto("chrome://crash").catch(() => undefined);
  await page.close();
  page = await context.newPage();
  await page.goto(`${host.url}index.html#/inspection/${id}/road`);
  await page.getByLabel("Note", { exact: true }).last().waitFor();
  assert.equal(await page.getByLabel("Note", { exact: true }).last().inputValue(), "quiet side road");

  // The answer, down to where a figure comes from.
  await go(page, id, "answer");
  await page.getByRole("heading", { name: "Figures, and where they come from" }).waitFor();
  await page.locator("summary", { hasText: "Front left" }).click();
  await page.locator("summary", { hasText: "Where this comes from" }).first().click();
  await page.getByText("marked on the part").first().waitFor();

  // Sealed: a wrong passphrase changes nothing.
  await page.getByRole("link", { name: "Seal" }).click();
  await page.getByText("Everything that a report needs is there.").waitFor();
  await page.getByLabel("Passphrase of your signing key").fill("another one");
  await page.getByRole("button", { name: "Seal the report" }).click();
  await page.getByRole("alert").getByText("passphrase").first().waitFor();
  await page.getByLabel("Passphrase of your signing key").fill(PASSPHRASE);
  await page.getByRole("button", { name: "Seal the report" }).click();
  await page.getByRole("heading", { name: "Sealed report" }).waitFor({ timeout: 60_000 });
  const report = await save("Save the file", "report.pdf");
  await page.getByRole("button", { name: "Check it here" }).click();
  await page.getByRole("heading", { name: /genuine/i }).waitFor();

  // Accepted by those who were not there.
  assert.equal(verify(report, root).headline, "genuine-standing-not-checked");
  assert.match(validate(report, root), /INTACT:TRUSTED,UNTOUCHED/);
  assert.deepEqual(complaints, []);
  await context.close();
});
