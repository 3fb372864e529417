// Every screen, with the demonstration visits, in both themes and at every size: nothing that a machine finds against it.
import assert from "node:assert/strict";
import { existsSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";

import { AxeBuilder } from "@axe-core/playwright";

import { DESK, PHONE, SMALL_PHONE, device, launch, open, serve, ui } from "./stage.mjs";

let browser, host;
before(async () => {
  assert.ok(existsSync(join(ui, "dist/demonstration/notebook.zip")), "the demonstration visits are not there; run `cargo xtask pages`");
  [browser, host] = await Promise.all([launch(), serve()]);
});
after(async () => {
  await browser?.close();
  await host?.close();
});

const OF_INSPECTION = ["", "corner/front_right", "corner/rear_left", "instruction", "car", "day", "road", "photographs", "measured", "rest", "prices", "answer", "seal"];
const REST = ["", "begin", "reports", "check", "keys", "letters", "statement", "settings", "help"];

/** A device with the demonstration visits, and the addresses of all its screens. */
async function withVisits(options) {
  const { context, complaints } = await device(browser, options);
  const page = await open(context, host.url);
  await page.getByRole("button", { name: "Load the demonstration visits" }).click();
  await page.getByRole("link", { name: /PMW-0417-Q/ }).first().click();
  await page.waitForURL(/#\/inspection\//);
  const id = page.url().split("/").at(-1);
  const screens = [...OF_INSPECTION.map((part) => `#/inspection/${id}/${part}`), ...REST.map((part) => `#/${part}`)];
  return { context, complaints, page, screens };
}
/** Goes to a screen and waits until it is quiet. */
async function show(page, screen) {
  await page.goto(`${host.url}index.html${screen}`);
  await page.getByRole("heading", { level: 1 }).waitFor();
  if (screen.endsWith("/answer")) await page.getByRole("heading", { name: "Figures, and where they come from" }).waitFor();
  if (screen.includes("/inspection/")) await page.locator("svg.glyph").first().waitFor({ state: "attached" });
}

for (const [name, options] of [
  ["day, phone", { viewport: PHONE, colorScheme: "light" }],
  ["night, desk", { viewport: DESK, colorScheme: "dark" }],
]) {
  test(`no barrier that a machine can find: ${name}`, async () => {
    const { context, complaints, page, screens } = await withVisits(options);
    const found = [];
    for (const screen of screens) {
      await show(page, screen);
      const { violations } = await new AxeBuilder({ page }).withTags(["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]).analyze();
      for (const one of violations) found.push(`${screen.replace(/inspection\/[^/]+/, "…")}: ${one.id}: ${one.nodes.map((node) => node.html.slice(0, 120)).slice(0, 2).join(" | ")}`);
    }
    assert.deepEqual(found, []);
    assert.deepEqual(complaints, []);
    await context.close();
  });
}

test("text stands out 7 : 1 by day", async () => {
  const { context, page, screens } = await withVisits({ viewport: PHONE, colorScheme: "light" });
  const found = [];
  for (const screen of screens) {
    await show(page, screen);
    const { violations } = await new AxeBuilder({ page }).withRules(["color-contrast-enhanced"]).analyze();
    for (const one of violations) found.push(`${screen}: ${one.nodes.map((node) => node.failureSummary?.slice(0, 200)).slice(0, 2).join(" | ")}`);
  }
  assert.deepEqual(found, []);
  await context.close();
});

test("on a small phone, also with text twice as large, nothing runs out of the screen and all is large enough to press", async () => {
  const { context, page, screens } = await withVisits({ viewport: SMALL_PHONE });
  const found = [];
  for (const size of ["100%", "200%"]) {
    for (const screen of screens) {
      await show(page, screen);
      const seen = await page.evaluate((size) => {
        document.documentElement.style.fontSize = size === "200%" ? "212.5%" : "";
        const wide = Math.max(...[document.documentElement, document.querySelector(".scroll")].map((box) => box.scrollWidth - box.clientWidth));
        const small = [...document.querySelectorAll("a, button, summary, input, select, textarea")]
          .map((element) => (element.matches(".options input, label.button input") ? element.parentElement : element))
          .filter((element) => element.offsetParent !== null && !element.closest(".unseen") && !element.matches("p a, section > a"))
          .filter((element) => element.getBoundingClientRect().height < 47.5 || element.getBoundingClientRect().width < 47.5)
          .map((element) => element.outerHTML.slice(0, 80));
        return { wide, small };
      }, size);
      if (seen.wide > 0) found.push(`${screen} at ${size}: ${seen.wide} px too wide`);
      if (size === "100%") found.push(...seen.small.map((html) => `${screen}: too small to press: ${html}`));
    }
  }
  assert.deepEqual(found, []);
  await context.close();
});

test("an inspection can be gone through by keyboard alone", async () => {
  const { context, page, screens } = await withVisits({ viewport: DESK });
  await show(page, screens[0]);
  await page.keyboard.press("Alt+3");
  await page.getByRole("heading", { level: 1, name: "Rear left" }).waitFor();
  await page.keyboard.press("Alt+a");
  await page.getByRole("heading", { name: "Figures, and where they come from" }).waitFor();
  await page.keyboard.press("Alt+0");
  await page.getByRole("navigation", { name: "Parts of the inspection" }).waitFor();
  // By Tab to a corner, by arrow to another choice, and back by undo.
  await page.keyboard.press("Alt+2");
  const group = page.getByRole("region", { name: "Bell" }).getByRole("group", { name: "Finish" });
  const was = await group.getByRole("radio", { checked: true }).getAttribute("value");
  await group.getByRole("radio", { checked: true }).focus();
  await page.keyboard.press("ArrowDown");
  await page.waitForFunction((was) => document.querySelector("[aria-labelledby='front_right-bell'] input:checked")?.value !== was, was);
  await page.locator("h1").focus();
  await page.keyboard.press("Control+z");
  await page.waitForFunction((was) => document.querySelector("[aria-labelledby='front_right-bell'] input:checked")?.value === was, was);
  await context.close();
});
