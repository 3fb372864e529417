// What a sentence or a figure rests on, in words.
import type { Evidence } from "../../contract/types";
import { CornerName } from "../../contract/words";
import { words } from "../../words/en";

export function evidence(one: Evidence): string {
  const text = words.evidence;
  switch (one.on) {
    case "face":
      return text.face(one.face, CornerName[one.corner]);
    case "pad":
      return text.pad(one.pad, CornerName[one.corner]);
    case "bell":
      return text.bell(CornerName[one.corner]);
    case "calliper":
      return text.calliper(CornerName[one.corner]);
    case "mark":
      return text.mark(CornerName[one.corner]);
    case "reading":
      return text.reading(one.id);
    case "road_test_step":
      return text.step(one.index + 1);
    case "drive":
      return words.measuring.evidence.drive(one.index + 1);
    case "photograph":
      return words.measuring.evidence.photograph(one.id);
    case "earlier_visit":
      return text.visit(one.index + 1);
    case "missing":
      return text.missing(one.what);
    case "odometer":
      return text.odometer;
    case "prices":
      return text.prices;
  }
}
