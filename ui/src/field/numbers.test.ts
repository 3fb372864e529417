import { expect, test } from "vitest";

import { grouped, rounded, significant } from "./numbers";

test("a distance has two digits, not more than it carries", () => {
  expect([16_234, 4_249, 99_999, 87, 5].map(rounded)).toEqual(["16\u202f000", "4\u202f200", "100\u202f000", "87", "5"]);
});

test("thousands are set apart", () => {
  expect([0, 999, 1000, 1234567].map(grouped)).toEqual(["0", "999", "1\u202f000", "1\u202f234\u202f567"]);
});

test("three digits without an exponent", () => {
  expect([0.00012345, 12.345, 1234.5].map(significant)).toEqual(["0.000123", "12.3", "1230"]);
});
