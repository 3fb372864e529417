// Files that leave the app: saved, or handed to the device's own way of sharing.
import { isWindow, saveFromWindow } from "../transport/window";

/** Saves bytes as a file. A browser asks the person or has its own folder; the window answers where it put it. */
export async function save(bytes: Uint8Array<ArrayBuffer> | string, name: string, type: string): Promise<string | null> {
  if (isWindow()) return saveFromWindow(typeof bytes === "string" ? new TextEncoder().encode(bytes) : bytes, name);
  const url = URL.createObjectURL(new Blob([bytes], { type }));
  const link = document.createElement("a");
  link.href = url;
  link.download = name;
  link.click();
  // The browser has begun to read it by the next turn; a minute is for slow ones.
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
  return null;
}

const asFile = (bytes: Uint8Array<ArrayBuffer>, name: string) => new File([bytes], name, { type: "application/pdf" });

/** Whether the device can share a PDF file. */
export const canShare = () => navigator.canShare?.({ files: [asFile(new Uint8Array(1), "a.pdf")] }) === true;

/** Hands a report over; false where the person thought better of it. */
export async function share(bytes: Uint8Array<ArrayBuffer>, name: string, text: string): Promise<boolean> {
  try {
    await navigator.share({ files: [asFile(bytes, name)], title: text });
    return true;
  } catch {
    return false;
  }
}
