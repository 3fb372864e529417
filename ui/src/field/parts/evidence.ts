// What a sentence or a figure rests on, in words.
import type { Evidence } from "../../contract/types";
import { CornerName } from "../../contract/words";

export function evidence(one: Evidence): string {
  switch (one.on) {
    case "face":
      return `${one.face} face, ${CornerName[one.corner]}`;
    case "pad":
      return `${one.pad} pad, ${CornerName[one.corner]}`;
    case "bell":
    case "calliper":
      return `${one.on}, ${CornerName[one.corner]}`;
    case "mark":
      return `the disc's own mark, ${CornerName[one.corner]}`;
    case "reading":
      return `reading ${one.id}`;
    case "road_test_step":
      return `step ${one.index + 1} of the road test`;
    case "earlier_visit":
      return `earlier visit ${one.index + 1}`;
    case "missing":
      return `missing: ${one.what}`;
    default:
      return one.on;
  }
}
