// A firm with an office: a phone whose key the firm certifies, a sealed report that gains its receipt, a buyer and a seller who
// have a link and nothing else, and a report that is taken back.
import assert from "node:assert/strict";
import { mkdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";

import { AxeBuilder } from "@axe-core/playwright";

import { Office, PASSPHRASE, cli } from "./office-stage.mjs";
import { DESK, device, launch, open, target, until, validate, verify } from "./stage.mjs";

let browser, office, witnesses;
/** Pictures to be looked at by a person. */
const pictures = join(target, "pictures");
before(async () => {
  mkdirSync(pictures, { recursive: true });
  office = new Office();
  office.foundFirm("Harbour & Vale Inspections");
  witnesses = await office.beWitnessed(2);
  await office.serve();
  browser = await launch();
});
after(async () => {
  await browser?.close();
  await office?.close();
});

const picture = (page, name, fullPage = false) => page.screenshot({ path: join(pictures, `${name}.png`), fullPage });

/** Nothing that a machine finds against a page for whoever cannot see or point well. */
async function withoutBarriers(page) {
  const { violations } = await new AxeBuilder({ page }).withTags(["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]).analyze();
  assert.deepEqual(violations.map((one) => `${one.id}: ${one.nodes.map((node) => node.html.slice(0, 120)).join(" | ")}`), []);
}

/** Has a key certified: the eight words on the phone are the ones that the office types. */
async function beCertified(page, name, id) {
  await page.goto(`${office.url}index.html#/settings`);
  await page.locator("summary", { hasText: "Have a key certified" }).click();
  await page.getByLabel("Your name").fill(name);
  await page.getByLabel("Passphrase", { exact: true }).fill(PASSPHRASE);
  await page.getByLabel("Passphrase once more").fill(PASSPHRASE);
  await page.getByRole("button", { name: "Ask for the certificate" }).click();
  await page.getByText("A certificate was asked for").waitFor();
  const asked = JSON.parse(cli("office", "asked", office.place, "--json")).find((one) => one.name === name);
  await page.getByText(asked.words, { exact: true }).waitFor();
  assert.throws(() => cli("office", "certify", office.place, asked.device, "--firm", office.firm, "--id", id, "--words", "legal winner thank year wave sausage worth useful", "--passphrase-file", office.passphrase), /another-key/);
  cli("office", "certify", office.place, asked.device, "--firm", office.firm, "--id", id, "--words", asked.words, "--passphrase-file", office.passphrase);
  await page.getByRole("button", { name: "Look whether it has come" }).click();
  await page.getByText("The certificate is here").waitFor();
}

async function makeLink(page, label) {
  await page.getByLabel("For whom").fill(label);
  await page.getByRole("button", { name: "Make a link" }).click();
  const shown = page.locator("p.mono", { hasText: "#link=" });
  await shown.waitFor();
  return (await shown.textContent()).trim();
}

/** Somebody with a browser and nothing else. */
async function reader(address) {
  const { context, complaints } = await device(browser);
  const page = await context.newPage();
  await page.goto(address);
  return { page, context, complaints };
}

test("a buyer with a link reads the report, what it is worth, and that it was taken back", async () => {
  const { context, complaints } = await device(browser);
  const phone = await open(context, office.url);
  await phone.getByRole("button", { name: "Load the demonstration visits" }).click();
  await phone.getByRole("link", { name: /PMW-0417-Q/ }).first().waitFor();
  await office.letIn(phone, "Ines's phone");
  await beCertified(phone, "Ines Okafor-Lind", "ines");
  await phone.getByText("The certificate is here").scrollIntoViewIfNeeded();
  await picture(phone, "settings-office");

  await phone.goto(`${office.url}index.html#/`);
  await phone.getByRole("link", { name: /PMW-0417-Q/ }).first().click();
  await phone.waitForURL(/#\/inspection\//);
  const visit = phone.url();
  await phone.goto(`${visit}/visits`);
  await phone.getByText("95 % interval").first().waitFor();
  await withoutBarriers(phone);
  await picture(phone, "visits");
  await phone.goto(`${visit}/seal`);
  await phone.getByLabel("Passphrase of your signing key").fill(PASSPHRASE);
  await phone.getByRole("button", { name: "Seal the report" }).click();
  await phone.getByRole("heading", { name: "Sealed report" }).waitFor({ timeout: 120_000 });
  await phone.getByText("The firm's public log has it; the receipt is in the file. also at the office").waitFor({ timeout: 60_000 });
  const [download] = await Promise.all([phone.waitForEvent("download"), phone.getByRole("button", { name: "Save the file" }).click()]);
  const report = join(office.folder, "report.pdf");
  await download.saveAs(report);
  // The receipt went into the room of the sealed file: for a validator that knows nothing of it, nothing was changed.
  assert.match(validate(report, join(office.firm, "root.pem")), /INTACT:TRUSTED,UNTOUCHED/);
  const verdict = verify(report, join(office.firm, "root.pem"));
  assert.equal(verdict.headline, "genuine-standing-not-checked");

  const address = await makeLink(phone, "Amara Quill");
  await withoutBarriers(phone);
  await picture(phone, "report-with-link");
  const buyer = await reader(address);
  await buyer.page.getByRole("heading", { name: "Genuine", exact: true }).waitFor({ timeout: 120_000 });
  await buyer.page.getByText(/its whole log and every statement in it were read/).waitFor();
  await buyer.page.getByText(/as the firm's log .* says/).first().waitFor();
  await buyer.page.getByRole("heading", { name: "The photographs" }).waitFor();
  const shown = buyer.page.locator("figure img");
  assert.ok((await shown.count()) > 5);
  const box = await shown.first().boundingBox();
  assert.ok(box.width > 300, `a photograph fills a phone's screen: ${box.width}`);
  await withoutBarriers(buyer.page);
  await shown.first().scrollIntoViewIfNeeded();
  await until(buyer.page, () => {
    const first = document.querySelector("figure img");
    return first.complete && first.naturalWidth > 0;
  });
  await picture(buyer.page, "link-buyer");

  // The time is the firm's own word, until the reader brings witnesses whose word counts more: two of three had signed.
  const { page } = buyer;
  // The key of C2SP's own checks (transparency-dev/formats, note_cosigv1_test.go), and the same under another name.
  const strange = "remora.n621.de+da77ade7+BOvN63jn/bLvkieywe8R6UYAtVtNbZpXh34x7onlmtw2";
  const third = strange.replace("remora", "another");
  await page.locator("summary", { hasText: "Witnesses of the time" }).click();
  await page.getByLabel("Keys, one a line, or a policy").fill(third);
  await page.getByRole("button", { name: "Take their word" }).click();
  await page.getByRole("alert").getByText("the id of the key").waitFor();
  const policy = [...witnesses, strange].map((key, nth) => `witness w${nth + 1} ${key}`).join("\n");
  await page.getByLabel("Keys, one a line, or a policy").fill(`${policy}\ngroup ours 2 w1 w2 w3\nquorum ours\n`);
  await page.getByRole("button", { name: "Take their word" }).click();
  await page.getByText("2 of these 3 have to have signed:").waitFor();
  await page.getByRole("heading", { name: "Genuine", exact: true }).waitFor({ timeout: 120_000 });
  await page.getByText(/proven by 2 of the 3 witnesses that you gave/).first().waitFor();
  await withoutBarriers(page);
  await page.locator("summary", { hasText: "Witnesses of the time: 2 of 3" }).scrollIntoViewIfNeeded();
  await picture(page, "verify-witnesses");
  await page.evaluate(() => scrollTo(0, 0));
  await picture(page, "verify-proven-by-witnesses");
  // Kept in the browser, and forgotten when the reader says so; all three are too many.
  await page.reload();
  await page.getByText(/proven by 2 of the 3 witnesses that you gave/).first().waitFor({ timeout: 120_000 });
  await page.locator("summary", { hasText: "Witnesses of the time: 2 of 3" }).click();
  await page.getByLabel("Keys, one a line, or a policy").fill([...witnesses, strange].join("\n"));
  await page.getByRole("button", { name: "Take these instead" }).click();
  await page.getByText(/2 of your witnesses had signed the log's head, and 3 are needed/).first().waitFor({ timeout: 120_000 });
  await page.getByRole("button", { name: "Forget the witnesses" }).click();
  await page.getByText(/as the firm's log .* says/).first().waitFor({ timeout: 120_000 });

  // The firm and its log, read whole in the reader's browser.
  await buyer.page.getByRole("link", { name: "The firm and its log" }).click();
  await buyer.page.getByRole("heading", { level: 1, name: "Harbour & Vale Inspections" }).waitFor();
  await buyer.page.getByText("Its one entry was read in your browser").waitFor();
  await withoutBarriers(buyer.page);
  await picture(buyer.page, "firm");

  // Dropped without a network, the same file is judged by what was heard before, and the page says when that was.
  await buyer.page.goto(`${office.url}verify.html`);
  await buyer.page.evaluate(() => navigator.serviceWorker.ready.then(() => undefined));
  await buyer.page.reload();
  await buyer.page.waitForFunction(() => navigator.serviceWorker.controller !== null);
  await buyer.context.setOffline(true);
  await buyer.page.reload();
  await buyer.page.getByRole("button", { name: "Choose a report, or drop it here" }).setInputFiles(report);
  await buyer.page.getByRole("heading", { name: "Genuine", exact: true }).waitFor({ timeout: 120_000 });
  await buyer.page.getByText(/There is no way to the firm now/).waitFor();
  await buyer.context.setOffline(false);

  // Taken back: the next look says so, with the reason.
  await phone.locator("summary", { hasText: "Withdraw or supersede this report" }).click();
  await phone.getByLabel("Why, for whoever relied on it").fill("the discs of another car were weighed");
  await phone.getByLabel("Passphrase", { exact: true }).fill(PASSPHRASE);
  await phone.getByRole("button", { name: "Sign that it does not stand" }).click();
  await phone.getByText("The firm's log says so.").waitFor({ timeout: 60_000 });
  await buyer.page.goto("about:blank");
  await buyer.page.goto(address);
  await buyer.page.getByRole("heading", { name: /withdrawn/i }).waitFor({ timeout: 120_000 });
  await buyer.page.getByText(/the discs of another car were weighed/).first().waitFor();
  await picture(buyer.page, "link-withdrawn");

  // Closed: it shows nothing, and says whom to ask.
  await phone.reload();
  // Once by the buyer, once to bring witnesses again, once after it was withdrawn.
  await phone.getByText(/opened 3 times/).waitFor();
  await phone.getByRole("button", { name: "Close: Amara Quill" }).click();
  await phone.getByText(/^closed /).waitFor();
  await buyer.page.goto("about:blank");
  await buyer.page.goto(address);
  await buyer.page.getByRole("heading", { name: "This link shows nothing" }).waitFor();
  await picture(buyer.page, "link-closed");
  const unexpected = [...complaints, ...buyer.complaints].filter((line) => !/Failed to load resource|ERR_INTERNET_DISCONNECTED/.test(line));
  assert.deepEqual(unexpected, []);
});

test("a seller answers through the link, and the answers are held against the letter", async () => {
  const { context } = await device(browser);
  const phone = await open(context, office.url);
  await office.letIn(phone, "Ines's other phone");
  await phone.goto(`${office.url}index.html#/letters`);
  for (const [label, text] of [
    ["From: name", "Amara Quill"],
    ["From: how to reach them", "amara@quill.example"],
    ["To: name", "Saltmarsh Motor House"],
    ["To: how to reach them", "sales@saltmarsh.example"],
    ["Make and model", "Corvane Tessel"],
    ["Registration", "PMW-0417-Q"],
  ])
    await phone.getByLabel(label, { exact: true }).fill(text);
  await phone.getByRole("button", { name: "Write the letter" }).click();
  await phone.getByRole("button", { name: "Send it by a link" }).click();
  const address = await makeLink(phone, "Saltmarsh Motor House");
  assert.match(address, /letter\.html#link=/);

  const seller = await reader(address);
  await seller.page.getByText("Amara Quill asks you, in writing").waitFor();
  await seller.page.getByLabel("Your name").fill("Jon Merrick");
  await seller.page.getByLabel("ever weighed").fill("Weighed at 19 000 km: all four above 5.4 kg.");
  // What was typed is there again after the page was lost.
  await seller.page.reload();
  await seller.page.getByLabel("ever weighed").waitFor();
  assert.match(await seller.page.getByLabel("ever weighed").inputValue(), /all four above/);
  await withoutBarriers(seller.page);
  await picture(seller.page, "letter-seller");
  await seller.page.getByRole("button", { name: /Send 1 of/ }).click();
  await seller.page.getByText("Sent. The answers stand above").waitFor();

  await phone.getByRole("button", { name: "Look for answers" }).click();
  await phone.getByText("all four above 5.4 kg").waitFor();
  await phone.getByRole("button", { name: "Take these answers over" }).click();
  await phone.waitForFunction(() => [...document.querySelectorAll("textarea")].some((field) => field.value.includes("all four above")));
  await picture(phone, "letter-answered");
});

test("the office at its desk lets devices in and shuts them out", async () => {
  const { context, complaints } = await device(browser, { viewport: DESK });
  const desk = await open(context, office.url);
  await office.letIn(desk, "the desk", "office");
  await desk.goto(`${office.url}index.html#/`);
  await desk.getByRole("link", { name: "The office's desk" }).click();
  await desk.getByText("Ines's phone", { exact: true }).waitFor();
  await desk.getByLabel("What you call it").fill("Saltmarsh Motor House");
  await desk.getByLabel("a dealer's").check();
  await desk.getByRole("button", { name: "Make a code" }).click();
  const code = await desk.locator("p.figure.mono").textContent();
  await withoutBarriers(desk);
  await picture(desk, "desk");

  const { context: elsewhere } = await device(browser);
  const dealer = await open(elsewhere, office.url, "#/settings");
  await dealer.getByLabel("Code from the office").fill(code);
  await dealer.getByRole("button", { name: "Be let in" }).click();
  await dealer.getByText("It is let in as a dealer's.").waitFor();
  await beCertified(dealer, "Jon Merrick", "merrick");
  await desk.reload();
  await desk.getByText(/certified for Jon Merrick/).waitFor();
  await desk.getByRole("button", { name: "Shut out: Saltmarsh Motor House" }).click();
  await desk.getByText(/a dealer's, shut out/).waitFor();
  await dealer.getByRole("button", { name: "Send and fetch now" }).click();
  await dealer.getByText("The office does not let this device in any more.").first().waitFor();
  writeFileSync(join(pictures, "complaints.txt"), complaints.join("\n"));
});
