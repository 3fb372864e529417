// What a reply may be taken to say, in the order in which the letter asks, and what each of it needs.
import type { Claim } from "../../contract/types";
import { words } from "../../words/en";

export type Says = Claim["says"];
type Kind = "yes" | "day" | "number" | "whole" | "line" | "corner" | "axle";
export interface Part {
  key: keyof typeof words.letters.parts;
  kind: Kind;
}

const part = (key: Part["key"], kind: Kind): Part => ({ key, kind });

export const CLAIMS: Record<Says, readonly Part[]> = {
  not_known: [],
  discs_are_first: [part("yes", "yes")],
  disc_replaced: [part("corner", "corner"), part("at_km", "number")],
  disc_mass: [part("corner", "corner"), part("mass_g", "number")],
  disc_thickness: [part("corner", "corner"), part("thickness_mm", "number")],
  faces_looked_at: [part("day", "day")],
  pad_sets: [part("axle", "axle"), part("count", "whole")],
  lining: [part("axle", "axle"), part("lining_mm", "number")],
  cleaner_used: [part("what", "line")],
  water_only: [],
  hard_use: [part("yes", "yes")],
  stood_months: [part("months", "whole")],
  callipers_seen_to: [part("day", "day")],
  fluid_changed: [part("day", "day")],
  lasts_for_ever: [],
  will_sign: [part("yes", "yes")],
};
