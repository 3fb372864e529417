// What journeys with an office need: its program, a firm whose keys lie elsewhere, phones that it lets in.
import { execFileSync, spawn } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

import { target, ui } from "./stage.mjs";

export const PASSPHRASE = "four quiet walking steps";
const rimside = join(target, "debug/rimside");

/** The command line. */
export const cli = (...words) => execFileSync(rimside, words, { encoding: "utf8" });

/** An office in a folder of its own, which `serve` begins again after `end`. */
export class Office {
  folder = mkdtempSync(join(tmpdir(), "office-"));
  #running = null;
  #address = "127.0.0.1:0";

  constructor() {
    writeFileSync(this.passphrase, `${PASSPHRASE}\n`);
    cli("log", "found", this.place, "--name", "log.harbour-vale.example", "--passphrase-file", this.passphrase);
  }

  get passphrase() {
    return join(this.folder, "passphrase");
  }
  get place() {
    return join(this.folder, "office");
  }
  get address() {
    return this.#address;
  }
  get url() {
    return `http://${this.#address}/`;
  }
  /** The firm's folder, once it was founded. */
  get firm() {
    return join(this.folder, "firm");
  }

  /** Founds the firm whose reports this office takes, and shows its papers. */
  foundFirm(name) {
    cli("firm", "found", this.firm, "--name", name, "--passphrase-file", this.passphrase);
    cli("office", "show", this.place, "--firm", this.firm);
  }

  /** The office as a program of its own; its first line says where it is. */
  async serve() {
    const words = ["serve", this.place, "--listen", this.#address, "--pages", join(ui, "dist"), "--passphrase-file", this.passphrase];
    const running = spawn(rimside, words, { stdio: ["ignore", "ignore", "pipe"] });
    this.#running = running;
    this.#address = await new Promise((found, refuse) => {
      let said = "";
      running.on("exit", (code) => refuse(new Error(`the office ended with ${code}: ${said}`)));
      running.stderr.on("data", (bytes) => {
        said += bytes;
        const served = /"served":"([^"]+)"/.exec(said);
        if (served) found(served[1]);
      });
    });
  }

  /** As a machine that falls over. */
  async end() {
    if (!this.#running) return;
    this.#running.removeAllListeners("exit");
    const ended = new Promise((done) => this.#running.once("exit", done));
    this.#running.kill("SIGKILL");
    await ended;
    this.#running = null;
  }

  async close() {
    await this.end();
    rmSync(this.folder, { recursive: true, force: true });
  }

  /** Lets the device of this page in. */
  async letIn(page, label, role = "inspector") {
    const { code } = JSON.parse(cli("office", "code", this.place, "--label", label, "--role", role, "--json"));
    await page.goto(`${this.url}index.html#/settings`);
    await page.getByLabel("Code from the office").fill(code);
    await page.getByRole("button", { name: "Be let in" }).click();
    await page.getByText(`The office at ${this.#address} lets this device in.`).waitFor();
  }
}
