//! What an inspector would write down of a corner in this state.

use model::{CalliperState, CornerName, FaceName, HowSeen, PadName};
use serde_json::{Value, json};

use super::state::CornerState;

/// A corner as an inspection's `corners.<name>`.
pub fn corner(name: CornerName, state: &CornerState) -> Value {
    json!({ "seen": {
        "outer_face": { "seen": face(name, FaceName::Outer, state) },
        "inner_face": { "seen": face(name, FaceName::Inner, state) },
        "bell": bell(name, state),
        "outer_pad": { "seen": pad(PadName::Outer, state) },
        "inner_pad": { "seen": pad(PadName::Inner, state) },
        "calliper": { "seen": {
            "state": state.calliper,
            "note": (state.calliper == CalliperState::Drags)
                .then_some("Wheel turns by hand only with effort; rim hotter than the right one after 2 km without braking.")
        } }
    } })
}

fn face(corner: CornerName, face: FaceName, state: &CornerState) -> Value {
    let (wear, seen) = match face {
        FaceName::Outer => (state.outer_wear, HowSeen::WheelOff),
        FaceName::Inner => (state.inner_wear, state.inner_seen),
    };
    let step = |first, second, third| {
        if wear < 0.28 {
            first
        } else if wear < 0.8 {
            second
        } else {
            third
        }
    };
    // A mirror shows, it does not let one touch.
    let touch = (seen == HowSeen::WheelOff).then(|| if wear < 0.8 { "slick" } else { "abrasive" });
    let mut defects = Vec::new();
    if state.heat > 0.3 {
        defects.push(json!({
            "kind": "heat_tint", "extent": null, "size_mm": null,
            "place": { "hour": null, "zone": "full_width" }, "photographs": [photograph(corner, face)],
            "note": "blue to brown all round"
        }));
    }
    if state.heat > 0.7 {
        defects.push(json!({
            "kind": "craze", "extent": null, "size_mm": 12.0,
            "place": { "hour": 4, "zone": "middle_third" }, "photographs": [photograph(corner, face)],
            "note": "fine net between the holes, nothing opens under the nail"
        }));
    }
    if face == FaceName::Outer && state.chemical > 0.1 {
        defects.push(json!({
            "kind": "stain", "extent": null, "size_mm": 41.0,
            "place": { "hour": 5, "zone": "outer_third" }, "photographs": [photograph(corner, face)],
            "note": "pale, with runs towards the edge; bell stained below it"
        }));
    }
    json!({
        "seen": seen,
        "touch": touch,
        "fibre_pattern": step("faint", "clear", "crowded"),
        "colour": step("near_black", "dark_grey", "greyed"),
        "defects": defects,
        "note": null
    })
}

fn bell(corner: CornerName, state: &CornerState) -> Value {
    if corner == CornerName::FrontLeft && state.inner_seen == HowSeen::Mirror {
        return json!({ "not_inspected": "locking wheel bolt, key not with the car: this wheel stayed on" });
    }
    json!({ "seen": {
        "finish": state.bell,
        "fixings": { "missing_or_loose": 0, "corroded": false },
        "note": null
    } })
}

fn pad(pad: PadName, state: &CornerState) -> Value {
    let (lining_mm, taper_mm) = match pad {
        PadName::Outer => (state.outer_lining_mm, 0.1),
        PadName::Inner => (state.inner_lining_mm, state.inner_taper_mm),
    };
    json!({
        "lead": if lining_mm < 2.5 { "worn_through" } else { "intact" },
        "taper_mm": taper_mm,
        "glazed": state.heat > 0.7,
        "crumbling": state.heat > 0.7 && pad == PadName::Inner,
        "note": null
    })
}

/// The name of the photograph of a face.
pub fn photograph(corner: CornerName, face: FaceName) -> String {
    format!("{}-{}-face", corner.words(), face.words()).replace(' ', "-")
}
