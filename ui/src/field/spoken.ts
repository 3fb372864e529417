// A field of an inspection and what stands in it, as a person would say them.
import * as choices from "../contract/words";
import { words } from "../words/en";

// What a field's own name does not say in words.
const PLACES: Record<string, string> = {
  vin: words.fields.vin,
  visited_at: words.fields.visited_at,
  first_registered: words.fields.firstRegistered,
  mass_kg: words.fields.mass,
  fluid_class: words.fields.fluid,
  odometer: words.fields.odometer,
  tyres: words.fields.tyres,
  remarks: words.fields.remarks,
  ...choices.CornerName,
  ...choices.Axle,
};
// Steps of the path that a person does not take.
const SILENT = new Set(["corners", "seen", "car", "brakes", "points", "value"]);
const UNITS: Record<string, string> = { mm: "mm", km: "km", g: "g", kg: "kg", c: "°C", in: "inches" };

// The words of every choice; a name that two choices use with different words says nothing by itself.
const CHOSEN = new Map<string, string | null>();
for (const choice of Object.values(choices))
  for (const [name, said] of Object.entries(choice)) CHOSEN.set(name, CHOSEN.has(name) && CHOSEN.get(name) !== said ? null : said);

function plain(name: string): string {
  const parts = name.split("_");
  const unit = parts.length > 1 ? UNITS[parts[parts.length - 1] ?? ""] : undefined;
  return unit ? `${parts.slice(0, -1).join(" ")}, ${unit}` : parts.join(" ");
}

/** Which field a path leads to: "rear left, inner face, colour". */
export function place(path: string): string {
  const steps = path.split(".").filter((step) => !SILENT.has(step));
  return steps.map((step) => PLACES[step] ?? plain(step)).join(", ");
}

/** What a field says: a choice by its words, a group of fields one after another. */
export function said(value: unknown): string {
  if (value === null || value === undefined || value === "") return words.fields.unknown;
  if (typeof value === "boolean") return value ? words.fields.yes : words.fields.no;
  if (typeof value === "string") return CHOSEN.get(value) ?? value;
  if (Array.isArray(value)) return value.length === 0 ? words.fields.unknown : value.map(said).join("; ");
  if (typeof value === "object") return Object.entries(value).map(([name, one]) => `${place(name)}: ${said(one)}`).join(", ");
  return String(value);
}
