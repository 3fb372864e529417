// What is being typed, kept at each keystroke until the notebook has it: a page that is killed goes on where it was.
// The browser's own small store is written at once and without waiting; the notebook in its thread is not.

const NAME = "rimside.scratch.";
const name = (inspection: string, path: string) => `${NAME}${inspection}.${path}`;

/** Keeps a text; nothing where the browser has no store. */
export function keep(inspection: string, path: string, text: string): void {
  try {
    localStorage.setItem(name(inspection, path), text);
  } catch {
    // Full or refused: the notebook gets the text some tenths of a second later all the same.
  }
}

/** What was kept and not stored, or null. */
export function kept(inspection: string, path: string): string | null {
  try {
    return localStorage.getItem(name(inspection, path));
  } catch {
    return null;
  }
}

/** Forgets it: the notebook has it. */
export function forget(inspection: string, path: string): void {
  try {
    localStorage.removeItem(name(inspection, path));
  } catch {
    // Then nothing was kept either.
  }
}
