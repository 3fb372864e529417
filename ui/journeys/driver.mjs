// A small client of the browser automation standard (W3C WebDriver) for the desktop's window, which is no browser that
// the other journeys' library could drive.
import { spawn } from "node:child_process";
import { setTimeout as pause } from "node:timers/promises";

const ELEMENT = "element-6066-11e4-a52e-4f735466cecf";

/** Starts the window under the driver; `environment` is the app's. */
export async function drive(binary, { port, display, environment }) {
  const driver = spawn("WebKitWebDriver", [`--port=${port}`, "--host=127.0.0.1"], {
    env: { ...process.env, ...environment, DISPLAY: display, TAURI_WEBVIEW_AUTOMATION: "true" },
    stdio: "ignore",
  });
  const base = `http://127.0.0.1:${port}`;
  const call = async (method, path, body) => {
    const answer = await fetch(base + path, { method, body: body === undefined ? undefined : JSON.stringify(body) });
    const { value } = await answer.json();
    if (!answer.ok) throw new Error(`${method} ${path}: ${value?.error}: ${value?.message}`);
    return value;
  };
  await until(async () => (await call("GET", "/status")).ready);
  const { sessionId } = await call("POST", "/session", {
    capabilities: { alwaysMatch: { "webkitgtk:browserOptions": { binary, args: [] } } },
  });
  const at = `/session/${sessionId}`;
  const run = (script, ...args) => call("POST", `${at}/execute/sync`, { script, args });
  /** The first visible element for which a function in the page says yes. */
  const find = (what, text, within = "body") =>
    until(() =>
      run(
        `const [what, text, within] = arguments;
         const name = (e) => (e.getAttribute("aria-label") ?? e.textContent ?? "").trim();
         const root = document.querySelector(within) ?? document.body;
         if (what === "field") {
           const label = [...root.querySelectorAll("label")].find((e) => name(e) === text);
           return label && (document.getElementById(label.htmlFor) ?? label.querySelector("input"));
         }
         if (what === "choice") {
           const [group, option] = text.split(": ");
           const set = [...root.querySelectorAll("fieldset")].find((e) => name(e.querySelector("legend")) === group);
           return set && [...set.querySelectorAll("label")].find((e) => name(e) === option);
         }
         return [...root.querySelectorAll(what)].find((e) => name(e).includes(text));`,
        what,
        text,
        within,
      ),
      `${what} "${text}"`,
    );
  return {
    run,
    find,
    click: async (what, text, within) => call("POST", `${at}/element/${(await find(what, text, within))[ELEMENT]}/click`, {}),
    /** Types as a person does, key by key. */
    type: async (label, text, within) => {
      // A screen that is just being drawn may still move its fields.
      const field = await until(async () => {
        const found = (await find("field", label, within))[ELEMENT];
        await run("arguments[0].scrollIntoView({ block: 'center' })", { [ELEMENT]: found });
        await call("POST", `${at}/element/${found}/clear`, {});
        return found;
      }, label);
      await call("POST", `${at}/element/${field}/value`, { text });
    },
    goto: (hash) => run("location.hash = arguments[0]", hash),
    picture: async () => Buffer.from(await call("GET", `${at}/screenshot`), "base64"),
    resize: (width, height) => call("POST", `${at}/window/rect`, { width, height }),
    until,
    async end() {
      await call("DELETE", at).catch(() => undefined);
      driver.kill();
    },
  };
}

/** Asks until the answer is there; fails after half a minute. */
async function until(ask, what = String(ask)) {
  const end = Date.now() + 30_000;
  for (;;) {
    const value = await ask().catch((error) => error);
    if (value && !(value instanceof Error)) return value;
    if (Date.now() > end) throw new Error(`${what}: ${value instanceof Error ? value.message : "it did not come"}`);
    await pause(50);
  }
}
