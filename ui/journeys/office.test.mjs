// Two phones and an office: what one writes, the other sees, also when the office was away in between.
import assert from "node:assert/strict";
import { execFileSync, spawn } from "node:child_process";
import { mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";

import { device, launch, open, target, ui, writeVisits } from "./stage.mjs";

const rimside = join(target, "debug/rimside");
let browser, visits, folder, office, url;

function cli(...words) {
  return execFileSync(rimside, words, { encoding: "utf8" });
}

/** The office as a program of its own; its first line says where it is. */
function serveOffice(listen) {
  const words = ["serve", join(folder, "office"), "--listen", listen, "--pages", join(ui, "dist"), "--passphrase-file", join(folder, "passphrase")];
  const running = spawn(rimside, words, { stdio: ["ignore", "ignore", "pipe"] });
  return new Promise((found, refuse) => {
    let said = "";
    running.on("exit", (code) => refuse(new Error(`the office ended with ${code}: ${said}`)));
    running.stderr.on("data", (bytes) => {
      said += bytes;
      const served = /"served":"([^"]+)"/.exec(said);
      if (served) found({ running, address: served[1] });
    });
  });
}

async function end({ running }) {
  running.removeAllListeners("exit");
  const ended = new Promise((done) => running.once("exit", done));
  running.kill("SIGKILL");
  await ended;
}

before(async () => {
  visits = writeVisits();
  folder = mkdtempSync(join(tmpdir(), "office-"));
  writeFileSync(join(folder, "passphrase"), "four quiet walking steps\n");
  cli("log", "found", join(folder, "office"), "--name", "log.harbour-vale.example", "--passphrase-file", join(folder, "passphrase"));
  office = await serveOffice("127.0.0.1:0");
  url = `http://${office.address}/`;
  browser = await launch();
});
after(async () => {
  await browser?.close();
  if (office) await end(office);
  for (const written of [folder, visits]) if (written) rmSync(written, { recursive: true, force: true });
});

async function letIn(page, label) {
  const { code } = JSON.parse(cli("office", "code", join(folder, "office"), "--label", label, "--json"));
  await page.goto(`${url}index.html#/settings`);
  await page.getByLabel("Code from the office").fill(code);
  await page.getByRole("button", { name: "Be let in" }).click();
  await page.getByText(`The office at ${office.address} lets this device in.`).waitFor();
}

test("what one phone writes is at the office and on the other phone, with its photograph", async () => {
  const [ines, tomas] = await Promise.all([device(browser), device(browser)]);
  const phone = await open(ines.context, url);
  await letIn(phone, "Ines's phone");

  // The office is away while the phone is written in, as is the signal in most driveways.
  const [, port] = office.address.split(":");
  await end(office);
  await phone.goto(`${url}index.html#/begin`);
  await phone.getByLabel("Registration").fill("PM 47 RIM");
  await phone.getByRole("button", { name: "Begin" }).click();
  await phone.getByRole("heading", { level: 1, name: /PM 47 RIM/ }).waitFor();
  const id = /inspection\/([^/]+)/.exec(phone.url())[1];
  await phone.goto(`${url}index.html#/inspection/${id}/photographs`);
  const originals = join(visits, "3-before-the-sale/photographs");
  const original = readdirSync(originals).find((name) => name.endsWith(".jpg"));
  await phone.getByLabel("From the device: whole car").setInputFiles(join(originals, original));
  await phone.locator("main img").first().waitFor();

  await phone.goto(`${url}index.html#/`);
  await phone.getByText(/\d entr.* not at the office yet/).waitFor();
  office = await serveOffice(`127.0.0.1:${port}`);
  await phone.goto(`${url}index.html#/settings`);
  await phone.getByRole("button", { name: "Sync now" }).click();
  await phone.getByText(/also at the office \d\d:\d\d/).waitFor({ timeout: 60_000 });

  const other = await open(tomas.context, url);
  await letIn(other, "Tomas's phone");
  await other.getByText(/also at the office \d\d:\d\d/).waitFor({ timeout: 60_000 });
  await other.goto(`${url}index.html#/inspection/${id}/photographs`);
  await other.locator("main img").first().waitFor();
  const size = await other.locator("main img").first().evaluate((image) => image.decode().then(() => image.naturalWidth));
  assert.ok(size > 100, "the photograph is there and can be looked at");

  // Shut out, a phone says so and keeps what it has.
  const listed = JSON.parse(cli("office", "devices", join(folder, "office"), "--json"));
  const name = listed.find((one) => one.label === "Tomas's phone").device;
  cli("office", "shut-out", join(folder, "office"), name);
  await other.goto(`${url}index.html#/settings`);
  await other.getByRole("button", { name: "Sync now" }).click();
  await other.getByText("The office does not let this device in any more.").first().waitFor();
  await other.goto(`${url}index.html#/`);
  await other.getByText("PM 47 RIM").first().waitFor();
  const unexpected = [...ines.complaints, ...tomas.complaints].filter((line) => !/Failed to load resource|ERR_CONNECTION_REFUSED/.test(line));
  assert.deepEqual(unexpected, []);
});

test("a wrong code is refused in words, and nothing is kept of it", async () => {
  const { context } = await device(browser);
  const page = await open(context, url, "#/settings");
  await page.getByLabel("Code from the office").fill("AAAAA-AAAAA");
  await page.getByRole("button", { name: "Be let in" }).click();
  await page.getByText("this code is not good, was used, or is too old").waitFor();
  await page.reload();
  await page.getByText("No office lets this device in.").waitFor();
});
