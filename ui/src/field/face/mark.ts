// The marks of a ring in a photograph: eight points, and the two ellipses through them.
import type { DiscMark } from "../../contract/types";

export type Point = [number, number];
export type Edge = "outer" | "inner";
export type Four = [Point, Point, Point, Point];

/** The inner edge of a ring is about so much of the outer one. */
const INNER = 0.62;

/** Where the marks stand before anybody has moved them: a circle in the middle. */
export function first(width: number, height: number): Record<Edge, Four> {
  const [x, y, reach] = [width / 2, height / 2, 0.42 * Math.min(width, height)];
  const around = (r: number): Four => [
    [x + r, y],
    [x, y + r],
    [x - r, y],
    [x, y - r],
  ];
  return { outer: around(reach), inner: around(INNER * reach) };
}

/** The ellipse through the ends of two conjugate diameters, as a path. */
export function path([right, below, left, above]: Four): string {
  const middle = (a: Point, b: Point): Point => [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
  const half = (a: Point, b: Point): Point => [(a[0] - b[0]) / 2, (a[1] - b[1]) / 2];
  const [cx, cy] = middle(middle(right, left), middle(below, above));
  const [p, q] = [half(right, left), half(below, above)];
  const points = Array.from({ length: 72 }, (_, nth) => {
    const angle = (nth / 72) * 2 * Math.PI;
    const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
    return `${(cx + p[0] * cos + q[0] * sin).toFixed(1)} ${(cy + p[1] * cos + q[1] * sin).toFixed(1)}`;
  });
  return `M${points.join("L")}Z`;
}

/** What an arrow key does to a point; null for any other key. */
export function nudge(key: string, far: boolean, [x, y]: Point): Point | null {
  const step = far ? 10 : 1;
  switch (key) {
    case "ArrowRight":
      return [x + step, y];
    case "ArrowLeft":
      return [x - step, y];
    case "ArrowDown":
      return [x, y + step];
    case "ArrowUp":
      return [x, y - step];
    default:
      return null;
  }
}

/** A grey card is looked at over this many pixels around its mark. */
const CARD = 24;
const REFLECTS = 0.18;

/** The mark as the core takes it. */
export function finish(marks: Record<Edge, Four>, diameter: number, card: Point | null): DiscMark {
  const part = card ? ([Math.max(0, Math.round(card[0] - CARD / 2)), Math.max(0, Math.round(card[1] - CARD / 2)), CARD, CARD] as const) : null;
  return { outer: marks.outer, inner: marks.inner, outer_diameter_mm: diameter, grey_card: part ? { part: [...part], reflects: REFLECTS } : null };
}
