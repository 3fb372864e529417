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

/** A program that listens; its first line says where. */
async function listening(words) {
  const running = spawn(rimside, words, { stdio: ["ignore", "ignore", "pipe"] });
  const address = await new Promise((found, refuse) => {
    let said = "";
    running.on("exit", (code) => refuse(new Error(`${words[0]} ended with ${code}: ${said}`)));
    running.stderr.on("data", (bytes) => {
      said += bytes;
      const served = /"served":"([^"]+)"/.exec(said);
      if (served) found(served[1]);
    });
  });
  return { running, address };
}

/** An office in a folder of its own, which `serve` begins again after `end`. */
export class Office {
  folder = mkdtempSync(join(tmpdir(), "office-"));
  #running = null;
  #witnesses = [];
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
    const { running, address } = await listening(words);
    [this.#running, this.#address] = [running, address];
  }

  /** Has the log's heads signed by so many witnesses from now on, each a program of its own; their public keys. */
  async beWitnessed(count) {
    const keys = [];
    for (let nth = 1; nth <= count; nth += 1) {
      const place = join(this.folder, `w${nth}`);
      const { key } = JSON.parse(cli("witness", "found", place, "--name", `witness.example/w${nth}`, "--passphrase-file", this.passphrase, "--json"));
      cli("witness", "watch", place, "--log", join(this.place, "log.pub"));
      const words = ["witness", "serve", place, "--listen", "127.0.0.1:0", "--passphrase-file", this.passphrase];
      const { running, address } = await listening(words);
      this.#witnesses.push(running);
      const file = join(this.folder, `w${nth}.pub`);
      writeFileSync(file, key);
      cli("log", "add-witness", this.place, "--witness", file, "--at", `http://${address}`);
      keys.push(key);
    }
    return keys;
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
    for (const witness of this.#witnesses.splice(0)) {
      witness.removeAllListeners("exit");
      witness.kill("SIGKILL");
    }
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
