// What a firm shows of itself beside its log, fetched from where this page is from and kept for when there is no network.
import type { Standing } from "./module/signature/rimside_web_verify.js";
import type { Heard } from "./letters";

/** The verifier's own state machine says which file is wanted next. */
export type NewStanding = () => Standing;

interface Kept {
  papers: string;
  readAt: string;
}

/** Not named as the shelves of the pages are, which a newer build clears. */
const SHELF = "papers-of-firms";
/** So many files at once; the log of a firm is a few hundred of them at most. */
const AT_ONCE = 8;
const top = new URL("./", location.href.replace(/assets\/[^/]*$/, ""));
const at = (path: string) => new URL(path, top);

async function read(path: string): Promise<Uint8Array | null> {
  const answer = await fetch(at(path), { cache: "no-cache", credentials: "omit" });
  if (answer.status === 404) return null;
  if (!answer.ok) throw new Error(`${path} could not be read (${answer.status})`);
  return new Uint8Array(await answer.arrayBuffer());
}

/** Gathers all that the firm shows; nothing is judged here. */
export async function gather(firm: string, standing: Standing): Promise<void> {
  for (let wanted = standing.wants(); wanted.length > 0; wanted = standing.wants()) {
    for (let from = 0; from < wanted.length; from += AT_ONCE) {
      await Promise.all(
        wanted.slice(from, from + AT_ONCE).map(async (path) => {
          const bytes = await read(`log/${encodeURIComponent(firm)}/${path}`);
          if (bytes) standing.put(path, bytes);
          else standing.lack(path);
        }),
      );
    }
  }
}

const hex = (fingerprint: string) => fingerprint.toLowerCase().replaceAll(/[^0-9a-f]/g, "");

/** The papers of the firm with this root: as it shows them now, or as they were kept. Null where nothing is known of it. */
export async function papersOf(fingerprint: string, begin: NewStanding): Promise<{ papers: string; heard: Heard } | null> {
  const shelf = await caches.open(SHELF).catch(() => null);
  const place = at(`papers/${hex(fingerprint)}`);
  try {
    const found = await read(`roots/${hex(fingerprint)}`);
    // A host that is no office answers with a page of its own, or with nothing.
    const firm = found ? (JSON.parse(new TextDecoder().decode(found)) as { firm?: unknown }).firm : null;
    if (typeof firm !== "string") throw new Error("no office here knows this root");
    const standing = begin();
    await gather(firm, standing);
    const readAt = new Date().toISOString();
    const kept: Kept = { papers: standing.papers(readAt), readAt };
    await shelf?.put(place, new Response(JSON.stringify(kept))).catch(() => {});
    return { papers: kept.papers, heard: { host: location.host, readAt, kept: false } };
  } catch {
    const kept = await shelf?.match(place);
    if (!kept) return null;
    const { papers, readAt } = (await kept.json()) as Kept;
    return { papers, heard: { host: location.host, readAt, kept: true } };
  }
}
