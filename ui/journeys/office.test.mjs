// Two phones and an office: what one writes, the other sees, also when the office was away in between.
import assert from "node:assert/strict";
import { mkdirSync, readdirSync, rmSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";

import { Office, cli } from "./office-stage.mjs";
import { device, launch, open, target, writeVisits } from "./stage.mjs";

const pictures = join(target, "pictures");

let browser, visits, office;

before(async () => {
  mkdirSync(pictures, { recursive: true });
  visits = writeVisits();
  office = new Office();
  await office.serve();
  browser = await launch();
});
after(async () => {
  await browser?.close();
  await office?.close();
  if (visits) rmSync(visits, { recursive: true, force: true });
});

test("what one phone writes is at the office and on the other phone, with its photograph", async () => {
  const [ines, tomas] = await Promise.all([device(browser), device(browser)]);
  const phone = await open(ines.context, office.url);
  await office.letIn(phone, "Ines's phone");

  // The office is away while the phone is written in, as is the signal in most driveways.
  await office.end();
  await phone.goto(`${office.url}index.html#/begin`);
  await phone.getByLabel("Registration").fill("PM 47 RIM");
  await phone.getByRole("button", { name: "Begin" }).click();
  await phone.getByRole("heading", { level: 1, name: /PM 47 RIM/ }).waitFor();
  const id = /inspection\/([^/]+)/.exec(phone.url())[1];
  await phone.goto(`${office.url}index.html#/inspection/${id}/photographs`);
  const originals = join(visits, "3-before-the-sale/photographs");
  const original = readdirSync(originals).find((name) => name.endsWith(".jpg"));
  await phone.getByLabel("From the device: whole car").setInputFiles(join(originals, original));
  await phone.locator("main img").first().waitFor();

  await phone.goto(`${office.url}index.html#/`);
  await phone.getByText(/\d entr.* not at the office yet/).waitFor();
  await office.serve();
  await phone.goto(`${office.url}index.html#/settings`);
  await phone.getByRole("button", { name: "Send and fetch now" }).click();
  await phone.getByText(/also at the office \d\d:\d\d/).waitFor({ timeout: 60_000 });

  const other = await open(tomas.context, office.url);
  await office.letIn(other, "Tomas's phone");
  await other.getByText(/also at the office \d\d:\d\d/).waitFor({ timeout: 60_000 });
  await other.goto(`${office.url}index.html#/inspection/${id}/photographs`);
  await other.locator("main img").first().waitFor();
  const size = await other.locator("main img").first().evaluate((image) => image.decode().then(() => image.naturalWidth));
  assert.ok(size > 100, "the photograph is there and can be looked at");

  // Where there is little room, what was found comes, and a picture when somebody asks for it.
  await other.goto(`${office.url}index.html#/settings`);
  await other.getByLabel("when I ask").check();
  await other.screenshot({ path: join(pictures, "settings-fetching.png") });
  await other.goto(`${office.url}index.html#/inspection/${id}/photographs`);
  await other.locator("main img[src]").first().waitFor();
  await phone.goto(`${office.url}index.html#/inspection/${id}/photographs`);
  const second = readdirSync(originals).filter((name) => name.endsWith(".jpg"))[1];
  await phone.getByLabel("From the device: whole car").setInputFiles(join(originals, second));
  await phone.locator("main img").nth(1).waitFor();
  await phone.goto(`${office.url}index.html#/settings`);
  await phone.getByRole("button", { name: "Send and fetch now" }).click();
  await phone.getByText(/also at the office \d\d:\d\d/).waitFor({ timeout: 60_000 });
  // The screen that is open shows what a colleague adds.
  await other.evaluate(() => dispatchEvent(new Event("online")));
  await other.locator("main img").nth(1).waitFor({ state: "attached", timeout: 60_000 });
  await other.goto(`${office.url}index.html#/inspection/${id}`);
  await other.getByText("1 photograph or recording of this inspection is at the office and not on this device.").waitFor();
  await other.getByRole("button", { name: "Fetch what is at the office" }).scrollIntoViewIfNeeded();
  await other.screenshot({ path: join(pictures, "overview-left.png") });
  await other.getByRole("button", { name: "Fetch what is at the office" }).click();
  await other.goto(`${office.url}index.html#/inspection/${id}/photographs`);
  await other.locator("main img").nth(1).scrollIntoViewIfNeeded();
  await other.locator("main img[src]").nth(1).waitFor();

  // Shut out, a phone says so and keeps what it has.
  const listed = JSON.parse(cli("office", "devices", office.place, "--json"));
  const name = listed.find((one) => one.label === "Tomas's phone").device;
  cli("office", "shut-out", office.place, name);
  await other.goto(`${office.url}index.html#/settings`);
  await other.getByRole("button", { name: "Send and fetch now" }).click();
  await other.getByText("The office does not let this device in any more.").first().waitFor();
  await other.goto(`${office.url}index.html#/`);
  await other.getByText("PM 47 RIM").first().waitFor();
  const unexpected = [...ines.complaints, ...tomas.complaints].filter((line) => !/Failed to load resource|ERR_CONNECTION_REFUSED/.test(line));
  assert.deepEqual(unexpected, []);
});

test("a wrong code is refused in words, and nothing is kept of it", async () => {
  const { context } = await device(browser);
  const page = await open(context, office.url, "#/settings");
  await page.getByLabel("Code from the office").fill("AAAAA-AAAAA");
  await page.getByRole("button", { name: "Be let in" }).click();
  await page.getByText("this code is not good, was used, or is too old").waitFor();
  await page.reload();
  await page.getByText("No office lets this device in.").waitFor();
});
