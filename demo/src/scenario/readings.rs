//! What the instruments showed: the truth with each instrument's own small errors, the same at every run.

use model::{CornerName, FaceName, PadName, PerCorner};
use serde_json::{Value, json};

use super::{
    car::{MARKED_POINTS, disc},
    state::CornerState,
};

/// All readings of a visit; `day` is its date.
pub fn readings(day: &str, state: &PerCorner<CornerState>) -> Vec<Value> {
    let mut readings = Vec::new();
    for (at, &corner) in CornerName::ALL.iter().enumerate() {
        let state = state.at(corner);
        // This wheel stayed on: nothing that needs the disc off can have been measured.
        let wheel_off = state.inner_seen == model::HowSeen::WheelOff;
        if wheel_off {
            readings.extend([mass(corner, state, at, day), thickness(corner, state, at, day)]);
            readings.extend([electrical(corner, state, at, day), runout(corner, state, day)]);
        }
        readings.extend([PadName::Outer, PadName::Inner].map(|pad| lining(corner, pad, state, at, day)));
        readings.push(force(corner, state, day));
    }
    readings.push(json!({
        "id": "fluid", "of": { "kind": "fluid_boiling_point" }, "unit": "degC",
        "points": [{ "at": "reservoir", "value": 214.0 }], "uncertainty": 3.0,
        "instrument": { "name": "boiling-point tester", "serial": "BP-0032", "calibrated_on": "2026-05-04" },
        "taken_at": format!("{day}T10:20:00+01:00")
    }));
    readings
}

/// A small error that belongs to this corner and point: between −1 and 1.
fn error(at: usize, point: usize) -> f64 {
    [0.4, -0.7, 0.2, -0.3, 0.8, -0.1, 0.5, -0.6, 0.1, 0.7, -0.4, -0.2][(at * 5 + point * 3) % 12]
}

fn round(value: f64, steps_a_unit: f64) -> f64 {
    (value * steps_a_unit).round() / steps_a_unit
}

fn id(corner: CornerName, what: &str) -> String {
    format!("{}-{what}", corner.words().replace(' ', "-"))
}

fn mass(corner: CornerName, state: &CornerState, at: usize, day: &str) -> Value {
    let data = disc(corner);
    let true_g = data.new_mass_g - state.bulk_wear * (data.new_mass_g - data.minimum_mass_g);
    let points: Vec<_> = (0..3)
        .map(|point| json!({ "at": format!("weighing {}", point + 1), "value": round(true_g + 2.0 * error(at, point), 1.0) }))
        .collect();
    json!({
        "id": id(corner, "mass"), "of": { "kind": "disc_mass", "corner": corner }, "unit": "g", "points": points,
        "uncertainty": 3.0,
        "instrument": { "name": "bench scale, 15 kg", "serial": "SC-1107", "calibrated_on": "2026-09-14" },
        "taken_at": format!("{day}T09:40:00+01:00")
    })
}

fn thickness(corner: CornerName, state: &CornerState, at: usize, day: &str) -> Value {
    let data = disc(corner);
    let true_mm = data.new_thickness_mm - state.bulk_wear * (data.new_thickness_mm - data.minimum_thickness_mm);
    let points: Vec<_> = [12, 3, 6, 9]
        .iter()
        .enumerate()
        .map(|(point, hour)| json!({ "at": format!("{hour} o'clock"), "value": round(true_mm + 0.02 * error(at, point), 100.0) }))
        .collect();
    json!({
        "id": id(corner, "thickness"), "of": { "kind": "disc_thickness", "corner": corner }, "unit": "mm",
        "points": points, "uncertainty": 0.02,
        "instrument": { "name": "disc micrometer", "serial": "MM-0215", "calibrated_on": "2026-06-02" },
        "taken_at": format!("{day}T09:45:00+01:00")
    })
}

fn electrical(corner: CornerName, state: &CornerState, at: usize, day: &str) -> Value {
    let data = disc(corner);
    let points: Vec<_> = (0..3)
        .map(|point| {
            let reading =
                data.new_reading[point] - state.bulk_wear * (data.new_reading[point] - data.reading_limit[point]);
            json!({ "at": MARKED_POINTS[point], "value": round(reading + 0.3 * error(at, point), 10.0) })
        })
        .collect();
    json!({
        "id": id(corner, "electrical"), "of": { "kind": "electrical", "corner": corner, "face": FaceName::Outer },
        "unit": "division", "points": points, "uncertainty": 0.5,
        "instrument": { "name": "electrical disc tester", "serial": "ET-0009", "calibrated_on": "2026-03-30" },
        "taken_at": format!("{day}T09:50:00+01:00")
    })
}

fn runout(corner: CornerName, state: &CornerState, day: &str) -> Value {
    json!({
        "id": id(corner, "runout"), "of": { "kind": "runout", "corner": corner, "face": FaceName::Outer },
        "unit": "um", "points": [{ "at": "10 mm from the edge", "value": round(30.0 + 40.0 * state.heat, 1.0) }],
        "uncertainty": 5.0,
        "instrument": { "name": "dial gauge", "serial": "DG-0077", "calibrated_on": "2026-06-02" },
        "taken_at": format!("{day}T09:55:00+01:00")
    })
}

fn lining(corner: CornerName, pad: PadName, state: &CornerState, at: usize, day: &str) -> Value {
    let (middle_mm, taper_mm) = match pad {
        PadName::Outer => (state.outer_lining_mm, 0.1),
        PadName::Inner => (state.inner_lining_mm, state.inner_taper_mm),
    };
    let point = |at: &str, value: f64| json!({ "at": at, "value": round(value, 10.0) });
    let slip = 0.05 * error(at, 1);
    json!({
        "id": id(corner, &format!("{}-lining", pad.words())),
        "of": { "kind": "lining", "corner": corner, "pad": pad }, "unit": "mm",
        "points": [
            point("leading end", middle_mm - taper_mm / 2.0 + slip),
            point("middle", middle_mm + slip),
            point("trailing end", middle_mm + taper_mm / 2.0 + slip)
        ],
        "uncertainty": 0.15,
        "instrument": { "name": "lining gauge", "serial": "LG-0140", "calibrated_on": "2026-06-02" },
        "taken_at": format!("{day}T10:05:00+01:00")
    })
}

fn force(corner: CornerName, state: &CornerState, day: &str) -> Value {
    json!({
        "id": id(corner, "force"), "of": { "kind": "brake_force", "corner": corner, "brake": "service" },
        "unit": "N", "points": [{ "at": "highest", "value": state.force_n }], "uncertainty": 60.0,
        "instrument": { "name": "roller tester, as the maker allows", "serial": "RT-3", "calibrated_on": "2026-08-18" },
        "taken_at": format!("{day}T11:30:00+01:00")
    })
}
