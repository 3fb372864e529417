//! What an inspector writes down of a corner in this state.

use model::{
    BellFinish, CalliperState, Colour, CornerName, DefectKind, FaceName, FibrePattern, HowSeen, PadName, RadialZone,
    Touch, WearLead,
};
use serde_json::{Value, json};

use super::state::{CornerState, Reach};

const WHEEL_ON: &str = "wheel stayed on: the key of its locking bolt was not with the car";

/// A corner as it was seen, for an inspection's `corners.<name>`.
pub(super) fn corner(name: CornerName, state: &CornerState) -> Value {
    json!({
        "outer_face": { "seen": face(name, FaceName::Outer, state) },
        "inner_face": { "seen": face(name, FaceName::Inner, state) },
        "bell": bell(state),
        "outer_pad": pad(PadName::Outer, state),
        "inner_pad": pad(PadName::Inner, state),
        "calliper": { "seen": {
            "state": state.calliper,
            "note": (state.calliper == CalliperState::Drags).then_some(
                "The hub turns by hand only with effort, brake released. After 300 m from stand to bay, hardly braked, \
                 this disc read 61 °C and the other three 14 to 24 °C."
            )
        } }
    })
}

/// The name of the photograph of a face.
pub(super) fn photograph(corner: CornerName, face: FaceName) -> String {
    name(corner, &format!("{}-face", face.words()))
}

/// A name inside an inspection: corner, then what.
pub(super) fn name(corner: CornerName, what: &str) -> String {
    format!("{}-{what}", corner.words().replace(' ', "-"))
}

fn face(corner: CornerName, face: FaceName, state: &CornerState) -> Value {
    let (wear, seen) = (state.face_wear(face), state.face_seen(face));
    let touch = match wear {
        ..0.6 => Touch::Slick,
        ..0.85 => Touch::SlightlyRough,
        _ => Touch::Abrasive,
    };
    let (pattern, colour) = match wear {
        ..0.28 => (FibrePattern::Faint, Colour::NearBlack),
        ..0.85 => (FibrePattern::Clear, Colour::DarkGrey),
        _ => (FibrePattern::Crowded, Colour::Greyed),
    };
    json!({
        "seen": seen,
        // A mirror shows, it does not let one touch.
        "touch": (seen != HowSeen::Mirror).then_some(touch),
        "fibre_pattern": pattern,
        "colour": colour,
        "defects": defects(corner, face, state),
        "note": (seen == HowSeen::Mirror).then_some("Seen by mirror and lamp only; not touched, not measured.")
    })
}

fn defects(corner: CornerName, face: FaceName, state: &CornerState) -> Vec<Value> {
    let at = |hour: Option<u8>, zone: RadialZone| json!({ "hour": hour, "zone": zone });
    let defect = |kind: DefectKind, size_mm: Option<f64>, place: Value, note: &str| {
        json!({
            "kind": kind, "extent": null, "size_mm": size_mm, "place": place,
            "photographs": [photograph(corner, face)], "note": note
        })
    };
    let mut defects = Vec::new();
    if state.heat > 0.3 {
        let note = "straw to blue all round";
        defects.push(defect(DefectKind::HeatTint, None, at(None, RadialZone::MiddleThird), note));
    }
    if state.heat > 0.45 {
        let size_mm = (20.0 * state.heat).round();
        let note = "fine net between the holes; nothing catches a fingernail";
        defects.push(defect(DefectKind::Craze, Some(size_mm), at(Some(4), RadialZone::MiddleThird), note));
    }
    if state.face_wear(face) > 0.95 {
        let note = "surface flaked off beside a hole, about 0.3 mm deep";
        defects.push(defect(DefectKind::Spalling, Some(9.0), at(Some(7), RadialZone::OuterThird), note));
    }
    if face == FaceName::Outer && state.chemical > 0.1 {
        let note = "pale, with runs towards the lower edge; sharp outline";
        defects.push(defect(DefectKind::Stain, Some(120.0), at(Some(2), RadialZone::FullWidth), note));
    }
    defects
}

fn bell(state: &CornerState) -> Value {
    if state.reach == Reach::WheelOn {
        return json!({ "not_inspected": WHEEL_ON });
    }
    let note = match state.bell {
        BellFinish::Even => None,
        BellFinish::Stained => Some("Pale runs, from the same side as those of the face."),
        BellFinish::Discoloured => Some("Straw-coloured towards the ring."),
        BellFinish::Etched => Some("Etched."),
    };
    json!({ "seen": {
        "finish": state.bell,
        "fixings": { "missing_or_loose": 0, "corroded": false },
        "note": note
    } })
}

fn pad(pad: PadName, state: &CornerState) -> Value {
    if !state.reaches_pad(pad) {
        return json!({ "not_inspected": WHEEL_ON });
    }
    let (lining_mm, taper_mm) = state.lining(pad);
    let spent = lining_mm < 3.0;
    json!({ "seen": {
        "lead": if spent { WearLead::WornThrough } else { WearLead::Intact },
        "taper_mm": taper_mm,
        "glazed": state.heat > 0.7,
        "crumbling": spent && state.heat > 0.7,
        "note": spent.then_some("Thinnest at the leading end; the edge breaks away under a fingernail.")
    } })
}
