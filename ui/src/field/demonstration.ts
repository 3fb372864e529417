// The demonstration visits, where a server offers them beside the pages.
import { app } from "./app.svelte";

const ADDRESS = "./demonstration/notebook.zip";

export const demonstration = {
  /** Whether the address asks for them, as the one that `cargo xtask demo` prints. */
  isAskedFor: () => location.hash === "#/demonstration",

  /** Whether they are there; without a network they are not. */
  async isThere(): Promise<boolean> {
    if (!navigator.onLine) return false;
    const answer = await fetch(ADDRESS, { method: "HEAD" }).catch(() => null);
    return answer?.ok === true && answer.headers.get("content-type")?.includes("zip") === true;
  },

  /** Takes them into the notebook. */
  async load(): Promise<void> {
    const answer = await fetch(ADDRESS);
    await app.try({ op: "import" }, { bytes: new Uint8Array(await answer.arrayBuffer()) });
  },
};
