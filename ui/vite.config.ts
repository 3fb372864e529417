import { createHash } from "node:crypto";
import { readFileSync, readdirSync, writeFileSync } from "node:fs";
import { basename, join, relative } from "node:path";

import { svelte } from "@sveltejs/vite-plugin-svelte";
import { defineConfig, type Plugin } from "vite";

/** What a page may do. The pages carry it themselves, so that it holds wherever they are served from. */
const POLICY = [
  "default-src 'none'",
  "script-src 'self' 'wasm-unsafe-eval'",
  "style-src 'self'",
  "img-src 'self' blob:",
  "media-src 'self' blob:",
  "connect-src 'self' ipc: http://ipc.localhost",
  "worker-src 'self'",
  "manifest-src 'self'",
  "base-uri 'none'",
  "form-action 'none'",
  "require-trusted-types-for 'script'",
  "trusted-types svelte-trusted-html rimside",
].join("; ");

/** Writes the policy into each page as it is built. */
const policy = (): Plugin => ({
  name: "policy",
  apply: "build",
  transformIndexHtml: () => [
    { tag: "meta", attrs: { "http-equiv": "Content-Security-Policy", content: POLICY }, injectTo: "head-prepend" },
  ],
});

/** The files that a page names, and those that they name, and so on. */
function reach(page: string, top: string, files: readonly string[]): string[] {
  const reached = new Set([page]);
  for (const file of reached) {
    if (!/\.(html|js|css)$/.test(file)) continue;
    const text = readFileSync(join(top, file), "utf8");
    for (const other of files) if (text.includes(basename(other))) reached.add(other);
  }
  return [...reached].sort();
}

/** Tells the service worker which files belong together, and gives that set a name. */
const shelf = (): Plugin => ({
  name: "shelf",
  apply: "build",
  closeBundle() {
    const top = join(import.meta.dirname, "dist");
    const files = readdirSync(top, { recursive: true, withFileTypes: true })
      .filter((entry) => entry.isFile() && entry.name !== "service.js" && !entry.parentPath.includes("demonstration"))
      .map((entry) => relative(top, join(entry.parentPath, entry.name)))
      .sort();
    const digest = createHash("sha256");
    for (const file of files) digest.update(file).update(readFileSync(join(top, file)));
    const place = join(top, "service.js");
    const text = readFileSync(place, "utf8")
      .replace("SHELF_NAME", digest.digest("hex").slice(0, 16))
      .replace("SHELF_FILES", JSON.stringify(files))
      .replace("SHELF_CHECK_FILES", JSON.stringify(reach("verify.html", top, files)));
    writeFileSync(place, text);
  },
});

/** The digest of the module that the verify page fetches later. */
const whole = () => {
  const module = join(import.meta.dirname, "src/verify/module/whole/rimside_web_verify_bg.wasm");
  return createHash("sha256").update(readFileSync(module)).digest("hex");
};

export default defineConfig(({ command, mode }) => ({
  define: { WHOLE_SHA256: JSON.stringify(command === "build" && mode !== "window" ? whole() : "") },
  plugins: mode === "window" ? [svelte(), policy()] : [svelte(), policy(), shelf()],
  // In the desktop's window the core is no worker, and no service worker keeps the pages.
  resolve: {
    alias: mode === "window" ? [{ find: /^.*\/transport\/worker$/, replacement: join(import.meta.dirname, "src/transport/no-worker.ts") }] : [],
  },
  publicDir: mode === "window" ? (false as const) : "public",
  // The pages may stand anywhere below a host.
  base: "./",
  build: {
    target: "es2022",
    assetsInlineLimit: 0,
    // A polyfill would be an inline script; every browser that keeps a notebook preloads by itself.
    modulePreload: { polyfill: false },
    outDir: mode === "window" ? "dist-window" : "dist",
    rolldownOptions: { input: mode === "window" ? ["index.html"] : ["index.html", "verify.html", "firm.html", "letter.html"] },
  },
  worker: { format: "es" },
  preview: {
    host: "127.0.0.1",
    port: 4717,
    strictPort: true,
    headers: { "Content-Security-Policy": `${POLICY}; frame-ancestors 'none'`, "X-Content-Type-Options": "nosniff", "Referrer-Policy": "no-referrer" },
  },
}));
