// The desktop's window: a first inspection, typed as a person does, to a sealed report.
import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";

import { drive } from "./driver.mjs";
import { Office, cli } from "./office-stage.mjs";
import { device, launch, open, target, validate, verify, writeVisits } from "./stage.mjs";

const PASSPHRASE = "four quiet walking steps";
const DISPLAY = ":97";
/** A person's own folder, with nothing in it. */
function fresh() {
  const home = mkdtempSync(join(tmpdir(), "window-"));
  return { HOME: home, XDG_DATA_HOME: join(home, "data"), XDG_CONFIG_HOME: join(home, "config"), XDG_CACHE_HOME: join(home, "cache"), WEBKIT_DISABLE_COMPOSITING_MODE: "1" };
}
let screen, window, office, browser, visits;
before(() => (screen = spawn("Xvfb", [DISPLAY, "-screen", "0", "1400x1000x24"], { stdio: "ignore" })));
after(async () => {
  await window?.end();
  await browser?.close();
  await office?.close();
  screen?.kill();
  if (visits) rmSync(visits, { recursive: true, force: true });
});
const start = (port, environment) => drive(join(target, "debug/rimside-window"), { port, display: DISPLAY, environment });
const stored = () => window.until(() => window.run(`return Object.keys(localStorage).every((key) => !key.startsWith("rimside.scratch."))`));

test("a first inspection in the window, to a sealed report", async () => {
  const environment = fresh();
  window = await start(4460, environment);
  await window.find("h1", "Inspections");
  await window.goto("#/keys");
  await window.type("Name of the firm", "Harbour & Vale Inspections");
  await window.type("Your name", "Ines Okafor-Lind");
  await window.type("Passphrase", PASSPHRASE);
  await window.type("Passphrase once more", PASSPHRASE);
  await window.click("button", "Make the key");
  await window.click("button", "Save the root for readers");
  await window.find("p", "Saved as");

  await window.goto("#/begin");
  await window.type("Registration", "PMW-0417-Q");
  await window.click("button", "Begin");
  const id = await window.until(() => window.run(`return location.hash.startsWith("#/inspection/") && location.hash.split("/")[2]`));
  const go = async (part, title) => {
    await window.goto(`#/inspection/${id}/${part}`);
    await window.find("h1", title);
  };
  await go("instruction", "Instruction");
  for (const [label, text] of [["Place", "Port Merrow"], ["Who instructs", "Amara Quill"], ["Owner of the car", "Saltmarsh Motor House"], ["How the owner gave leave to inspect and drive", "in writing"], ["Inspector", "Ines Okafor-Lind"], ["Firm", "Harbour & Vale Inspections"], ["Ties to buyer, seller or parts trade, or that there are none", "none"], ["Professional cover, or that there is none", "none"], ["How to reach the firm", "office@harbour-vale.example"]]) await window.type(label, text);
  await window.click("choice", "Their part in the sale: buyer");
  await go("car", "Car and brakes");
  for (const [label, text] of [["Vehicle identification number", "00RTSXA18R0000417"], ["Make and model", "Corvane Tessel"], ["Odometer", "19460"], ["Tyre, front", "255/35 R20"], ["Tyre, rear", "305/30 R20"]]) await window.type(label, text);
  await window.click("choice", "Discs, front: carbon-ceramic");
  await window.click("choice", "Discs, rear: carbon-ceramic");
  await go("day", "Day and road");
  await window.click("choice", "Weather: dry");
  await window.click("choice", "Road surface: not driven");
  await window.type("Tyres: state and pressures", "even wear");
  for (const [corner, title] of [["front_left", "Front left"], ["front_right", "Front right"], ["rear_left", "Rear left"]]) {
    await go(`corner/${corner}`, title);
    await window.find("button", "Not inspected");
    await window.run(`[...document.querySelectorAll("main button")].filter((e) => e.textContent.startsWith("Not inspected")).at(-1).click()`);
    await window.type("Not inspected because", "no safe place to lift the car");
  }
  await stored();
  // The process ends; everything is there again.
  await window.end();
  window = await start(4461, environment);
  await go("corner/rear_right", "Rear right");
  for (const part of ["rear_right-outer_face", "rear_right-inner_face"]) {
    const within = `[aria-labelledby=${part}]`;
    await window.click("choice", "How it was seen: wheel off", within);
    await window.click("choice", "Touch: slick", within);
  }
  await window.click("choice", "Finish: even", "[aria-labelledby=rear_right-bell]");
  await window.type("Fixings missing or loose", "0");
  await window.click("choice", "A fixing is corroded: no");
  for (const pad of ["outer", "inner"]) await window.click("choice", "Wear lead: intact", `[aria-labelledby=rear_right-${pad}_pad]`);
  await window.click("choice", "State: free");
  await go("road", "Road test");
  await window.click("button", "Not inspected");
  await window.type("Not inspected because", "not insured to drive");
  await stored();
  if (process.env.RIMSIDE_PICTURES) {
    await go("corner/rear_right", "Rear right");
    writeFileSync(join(process.env.RIMSIDE_PICTURES, "window.png"), await window.picture());
  }
  await go("seal", "Seal");
  await window.find("p", "Everything that a report needs is there.");
  await window.type("Passphrase of your signing key", PASSPHRASE);
  await window.click("button", "Seal the report");
  await window.find("h1", "Sealed report");
  await window.click("button", "Save the file");
  const path = (await window.until(() => window.run(`return [...document.querySelectorAll("p")].map((e) => e.textContent).find((text) => text.startsWith("Saved as"))`))).replace("Saved as ", "");
  await window.end();
  const folder = path.slice(0, path.lastIndexOf("/"));
  const root = join(folder, readdirSync(folder).find((name) => name.startsWith("root")));
  assert.equal(verify(path, root).headline, "genuine-standing-not-checked");
  assert.match(validate(path, root), /INTACT:TRUSTED,UNTOUCHED/);
});

test("what the window has is on a phone, and what the phone has in the window, through the office", async () => {
  visits = writeVisits();
  office = new Office();
  await office.serve();
  browser = await launch();
  const { context } = await device(browser);
  const phone = await open(context, office.url);
  await office.letIn(phone, "Tomas's phone");
  await phone.goto(`${office.url}index.html#/begin`);
  await phone.getByLabel("Registration").fill("PM 11 VAN");
  await phone.getByRole("button", { name: "Begin" }).click();
  await phone.getByRole("heading", { level: 1, name: /PM 11 VAN/ }).waitFor();
  const theirs = /inspection\/([^/]+)/.exec(phone.url())[1];
  await phone.goto(`${office.url}index.html#/inspection/${theirs}/photographs`);
  const originals = join(visits, "3-before-the-sale/photographs");
  await phone.getByLabel("From the device: whole car").setInputFiles(join(originals, readdirSync(originals).find((name) => name.endsWith(".jpg"))));
  await phone.locator("main img").first().waitFor();
  const tell = async () => {
    await phone.goto(`${office.url}index.html#/settings`);
    await phone.getByRole("button", { name: "Send and fetch now" }).click();
    await phone.getByText(/also at the office \d\d:\d\d/).waitFor({ timeout: 60_000 });
  };
  await tell();

  const environment = fresh();
  window = await start(4462, environment);
  await window.find("h1", "Inspections");
  await window.goto("#/settings");
  // An address over a network that anybody could read along is refused, before anything is asked.
  await window.type("Address of the office", "http://office.example");
  await window.type("Code from the office", "AAAAA-AAAAA");
  await window.click("button", "Be let in");
  await window.find("p", "expected https:// and a host");
  // Nobody listens there.
  await window.type("Address of the office", "http://127.0.0.1:9");
  await window.click("button", "Be let in");
  await window.find("p", "The office was not reached");
  const { code } = JSON.parse(cli("office", "code", office.place, "--label", "Office desk", "--role", "office", "--json"));
  await window.type("Address of the office", `${office.url}index.html#/settings/${code}`);
  await window.type("Code from the office", code);
  await window.click("button", "Be let in");
  await window.find("p", `The office at ${office.address} lets this device in.`);
  await window.find("p", "also at the office");
  await window.goto(`#/inspection/${theirs}/photographs`);
  await window.until(() => window.run(`return [...document.querySelectorAll("main img")].some((image) => image.naturalWidth > 100)`));
  if (process.env.RIMSIDE_PICTURES) {
    await window.goto("#/settings");
    await window.find("p", "also at the office");
    writeFileSync(join(process.env.RIMSIDE_PICTURES, "window-office.png"), await window.picture());
  }

  // What it writes itself arrives; its codes name the office and not the window.
  await window.goto("#/begin");
  await window.type("Registration", "PM 90 DSK");
  await window.click("button", "Begin");
  await window.find("h1", "PM 90 DSK");
  await window.goto("#/settings");
  await window.click("button", "Send and fetch now");
  await tell();
  await phone.goto(`${office.url}index.html#/`);
  // Where the phone was the faster of the two, it looks again within a minute.
  await phone.getByText("PM 90 DSK").first().waitFor({ timeout: 90_000 });
  await window.goto("#/desk");
  await window.type("What you call it", "Ines's phone");
  await window.click("button", "Make a code");
  if (process.env.RIMSIDE_PICTURES) {
    await window.find("svg", "A QR code");
    writeFileSync(join(process.env.RIMSIDE_PICTURES, "window-desk.png"), await window.picture());
  }
  await window.find("svg", "A QR code that opens the app with this code");
  await window.end();

  // It is still let in when it is opened again.
  window = await start(4463, environment);
  await window.goto("#/settings");
  await window.find("p", `The office at ${office.address} lets this device in.`);
  await window.find("p", "also at the office");
});
