import { describe, expect, test } from "vitest";

import { number, tyre, tyreText, whole } from "./fields";

describe("numbers as they are typed", () => {
  test.each([
    ["32.5", 32.5],
    ["32,5", 32.5],
    [" 5 412 ", 5412],
    ["0", 0],
  ])("%s is %d", (text, value) => expect(number(text)).toBe(value));
  test.each(["", "12,3,4", "1e999", "twelve", "12 mm"])("%j is refused with what to write", (text) => expect(() => number(text)).toThrow(/write it like/));
  test("an odometer's figure is whole", () => {
    expect(whole("19 460")).toBe(19460);
    for (const text of ["19460.5", "-3", "1e3", ""]) expect(() => whole(text)).toThrow(/write it like/);
  });
});

describe("a tyre's size as it stands on its wall", () => {
  // ISO 4000-1 writes it so: width/aspect, construction, rim.
  test.each(["255/35 R20", "255/35R20", "255/35 ZR20", "255 / 35 r 20"])("%s", (text) => expect(tyreText(tyre(text))).toBe("255/35 R20"));
  test.each(["255", "255/35", "35 R20", "255/35 R2000"])("%s is refused", (text) => expect(() => tyre(text)).toThrow(/as on the wall/));
});
