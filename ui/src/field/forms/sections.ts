// Which fields stand on which screen.
import { Axle, CornerName, DiscMaterial, FluidClass, PartyRole, RoadSurface, Weather } from "../../contract/words";
import { words } from "../../words/en";
import type { Draft } from "../draft.svelte";
import type { Field } from "../inputs/fields";

const text = words.fields;

export interface Group {
  title: string | null;
  fields: readonly Field[];
  /** The path of a list of electrical marks that stands under the fields. */
  marks?: string;
  /** Whether it is folded away at first: what only few inspections need. */
  folded?: boolean;
}

const instruction: readonly Group[] = [
  {
    title: null,
    fields: [
      { kind: "moment", path: "visited_at", label: text.visited_at },
      { kind: "line", path: "place", label: text.place },
      { kind: "line", path: "instruction.by.name", label: text.by },
      { kind: "choice", path: "instruction.by.role", label: text.role, options: PartyRole },
      { kind: "line", path: "instruction.owner", label: text.owner },
      { kind: "line", path: "instruction.owner_permission", label: text.permission },
    ],
  },
  {
    title: text.inspectorName,
    fields: [
      { kind: "line", path: "inspector.name", label: text.inspectorName },
      { kind: "line", path: "inspector.firm", label: text.firm },
      { kind: "line", path: "inspector.independence", label: text.independence },
      { kind: "line", path: "inspector.insurance", label: text.insurance },
      { kind: "line", path: "inspector.contact", label: text.contact },
    ],
  },
];

const axles = Object.keys(Axle) as (keyof typeof Axle)[];
const sides = ["left", "right"] as const;

const car: readonly Group[] = [
  {
    title: null,
    fields: [
      { kind: "line", path: "car.vin", label: text.vin, capitals: true },
      { kind: "line", path: "car.registration", label: text.registration },
      { kind: "line", path: "car.description", label: text.description },
      { kind: "odometer", path: "car.odometer", label: text.odometer },
      { kind: "day", path: "car.first_registered", label: text.firstRegistered },
      { kind: "number", path: "car.mass_kg", label: text.mass, unit: "kg" },
      { kind: "choice", path: "car.fluid_class", label: text.fluid, options: FluidClass, optional: true },
    ],
  },
  ...axles.map(
    (axle): Group => ({
      title: axle === "front" ? words.inspection.front : words.inspection.rear,
      fields: [
        { kind: "choice", path: `car.brakes.${axle}.material`, label: text.material(axle), options: DiscMaterial },
        { kind: "tyre", path: `car.brakes.${axle}.tyre`, label: text.tyre(axle) },
        { kind: "number", path: `car.brakes.${axle}.pads.lining_new_mm`, label: text.lining(axle), unit: "mm" },
        { kind: "number", path: `car.brakes.${axle}.pads.renewal_mark_mm`, label: text.renewal(axle), unit: "mm" },
        { kind: "whole", path: `car.pad_sets_used.${axle}`, label: text.padSets(axle) },
      ],
    }),
  ),
  ...axles.flatMap((axle) =>
    sides.map((side): Group => {
      const path = `car.brakes.${axle}.discs.${side}`;
      return {
        title: text.disc(CornerName[`${axle}_${side}`]),
        folded: true,
        marks: `${path}.electrical`,
        fields: [
          { kind: "line", path: `${path}.serial`, label: text.serial },
          { kind: "number", path: `${path}.minimum_mass_g`, label: text.minimumMass, unit: "g" },
          { kind: "number", path: `${path}.new_mass_g`, label: text.newMass, unit: "g" },
          { kind: "number", path: `${path}.minimum_thickness_mm`, label: text.minimumThickness, unit: "mm" },
          { kind: "number", path: `${path}.new_thickness_mm`, label: text.newThickness, unit: "mm" },
          { kind: "number", path: `${path}.diameter_mm`, label: text.diameter, unit: "mm" },
          { kind: "number", path: `${path}.most_runout_mm`, label: text.runout, unit: "mm" },
          { kind: "number", path: `${path}.most_thickness_variation_mm`, label: text.variation, unit: "mm" },
        ],
      };
    }),
  ),
];

const day: readonly Group[] = [
  {
    title: null,
    fields: [
      { kind: "choice", path: "surroundings.weather", label: text.weather, options: Weather },
      { kind: "choice", path: "surroundings.road_surface", label: text.road, options: RoadSurface },
      { kind: "line", path: "surroundings.tyres", label: text.tyres },
      { kind: "number", path: "surroundings.air_c", label: text.air, unit: "°C" },
    ],
  },
  {
    title: null,
    fields: (Object.keys(CornerName) as (keyof typeof CornerName)[]).map((corner) => ({
      kind: "number",
      path: `surroundings.disc_c.${corner}`,
      label: text.discTemperature(CornerName[corner]),
      unit: "°C",
    })),
  },
];

export const FORMS: Record<string, readonly Group[]> = { instruction, car, day };

/** Where a part's fields lie; null for a part that only shows. */
const BELOW: Record<string, readonly string[] | null> = {
  instruction: ["visited_at", "place", "instruction", "inspector"],
  car: ["car"],
  day: ["surroundings"],
  road: ["road_test"],
  photographs: null,
  measured: null,
  rest: null,
  prices: null,
  answer: null,
  seal: null,
};

/** How many things are to be done in a part; null where nothing has to be. */
export function missing(draft: Draft, part: string): number | null {
  return BELOW[part]?.map((path) => draft.missing(path)).reduce((sum, count) => sum + count, 0) ?? null;
}
