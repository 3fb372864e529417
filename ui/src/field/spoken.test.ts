import { expect, test } from "vitest";

import { CornerName } from "../contract/words";
import { words } from "../words/en";
import { place, said } from "./spoken";

test("a field is called by words and not by its path", () => {
  expect(place("corners.rear_left.seen.inner_face.seen.colour")).toBe(`${CornerName.rear_left}, inner face, colour`);
  expect(place("car.brakes.front.pads.lining_new_mm")).toBe("front, pads, lining new, mm");
  expect(place("car.vin")).toBe(words.fields.vin);
});

test("what a field says has no brackets and no names of a program", () => {
  expect(said({ figure: 41380, unit: "km" })).toBe("figure: 41380, unit: km");
  expect(said(false)).toBe(words.fields.no);
  expect(said(null)).toBe(words.fields.unknown);
  expect(said([])).toBe(words.fields.unknown);
  expect(said("written by hand")).toBe("written by hand");
  expect(said({ dark: true, list: ["rear_left"] })).toBe(`dark: ${words.fields.yes}, list: ${CornerName.rear_left}`);
});
