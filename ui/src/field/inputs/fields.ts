// What can stand in a form, as a table: a screen lists its fields and nothing else.

interface Common {
  path: string;
  label: string;
  hint?: string;
}

export type Field =
  | (Common & { kind: "line"; suggest?: readonly string[]; capitals?: boolean })
  | (Common & { kind: "note" })
  | (Common & { kind: "day" })
  | (Common & { kind: "moment" })
  | (Common & { kind: "number"; unit: string })
  | (Common & { kind: "whole"; unit?: string })
  | (Common & { kind: "odometer" })
  | (Common & { kind: "tyre" })
  | (Common & { kind: "yes_no"; optional?: boolean })
  | (Common & { kind: "choice"; options: Readonly<Record<string, string>>; optional?: boolean });

/** A decimal number, with point or comma. */
export function number(text: string): number {
  const plain = text.replaceAll(/[\s\u00a0\u202f]/g, "").replace(",", ".");
  const value = Number(plain);
  if (plain === "" || !Number.isFinite(value)) throw new Error(`“${text}” is no number; write it like 32.5.`);
  return value;
}

/** A whole number. */
export function whole(text: string): number {
  const plain = text.replaceAll(/[\s\u00a0\u202f]/g, "");
  if (!/^\d+$/.test(plain)) throw new Error(`“${text}” is no whole number; write it like 19460.`);
  return Number(plain);
}

interface Tyre {
  width_mm: number;
  aspect_percent: number;
  rim_in: number;
}

/** A tyre's size as it stands on its wall: 255/35 R20. */
export function tyre(text: string): Tyre {
  const parts = /^(\d{2,3})\s*\/\s*(\d{2,3})\s*Z?R\s*(\d{2})$/i.exec(text.trim());
  if (!parts) throw new Error(`“${text}” is no tyre size; write it as on the wall, like 255/35 R20.`);
  return { width_mm: Number(parts[1]), aspect_percent: Number(parts[2]), rim_in: Number(parts[3]) };
}

export const tyreText = (value: unknown) => {
  const { width_mm, aspect_percent, rim_in } = value as Tyre;
  return `${width_mm}/${aspect_percent} R${rim_in}`;
};
