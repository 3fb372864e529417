import { expect, test } from "vitest";

import { finish, first, nudge, path, type Four } from "./mark";

const points = (text: string) =>
  text
    .slice(1, -1)
    .split("L")
    .map((pair) => pair.split(" ").map(Number) as [number, number]);

test("the ellipse goes through the four points that were marked", () => {
  const four: Four = [
    [300, 210],
    [190, 260],
    [100, 190],
    [210, 140],
  ];
  const around = points(path(four));
  for (const [x, y] of four) expect(Math.min(...around.map(([a, b]) => Math.hypot(a - x, b - y)))).toBeLessThan(0.1);
});

test("the marks begin inside the picture, the inner ones inside the outer", () => {
  const { outer, inner } = first(800, 600);
  for (const [x, y] of [...outer, ...inner]) expect(x > 0 && x < 800 && y > 0 && y < 600).toBe(true);
  expect(outer[0][0]).toBeGreaterThan(inner[0][0]);
});

test("arrows move a mark, with shift ten times as far, and other keys do not", () => {
  expect(nudge("ArrowLeft", false, [5, 5])).toEqual([4, 5]);
  expect(nudge("ArrowDown", true, [5, 5])).toEqual([5, 15]);
  expect(nudge("Enter", false, [5, 5])).toBeNull();
});

test("a grey card near the picture's edge stays inside it", () => {
  expect(finish(first(100, 100), 390, [3, 50]).grey_card).toEqual({ part: [0, 38, 24, 24], reflects: 0.18 });
  expect(finish(first(100, 100), 390, null).grey_card).toBeNull();
});
