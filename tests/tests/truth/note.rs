//! What an inspector notes of a car: measured with errors, looked at with care or without, and not all of it.

use serde_json::{Value, json};

use crate::car::{Car, Corner, Trouble};
use crate::chance::Chance;

const NAMES: [&str; 4] = ["front_left", "front_right", "rear_left", "rear_right"];
const FACES: [&str; 2] = ["outer", "inner"];

/// How a corner was reached.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Reach {
    ThroughWheel,
    Mirror,
    WheelOff,
}

impl Reach {
    pub const fn word(self) -> &'static str {
        match self {
            Self::ThroughWheel => "through_wheel",
            Self::Mirror => "mirror",
            Self::WheelOff => "wheel_off",
        }
    }
}

/// An inspection as it was noted, and what the tally has to know of it.
pub struct Noted {
    pub document: Value,
    pub reach: [Reach; 4],
    /// What was weighed or measured of each disc.
    pub measured: [String; 4],
    /// Why the car must not be driven, by what was noted.
    pub stops: Vec<String>,
}

/// A quantity's value when new, at its mark, and what its instrument claims as one standard uncertainty.
struct Gauge {
    new: f64,
    mark: f64,
    claims: f64,
    /// This instrument's own error, the same in all its readings.
    bias: f64,
}

impl Gauge {
    fn new(new: f64, mark: f64, claims: f64, chance: &mut Chance) -> Self {
        Self { new, mark, claims, bias: chance.normal(0.0, 0.5 * claims) }
    }

    /// A reading of this wear: bias, heavy tails, now and then a blunder.
    fn read(&self, wear: f64, chance: &mut Chance) -> f64 {
        let true_value = self.new - wear * (self.new - self.mark);
        let blunder = if chance.is(0.01) { chance.normal(0.0, 8.0 * self.claims) } else { 0.0 };
        true_value + self.bias + 0.55 * self.claims * chance.heavy() + blunder
    }
}

/// Inspects the car.
pub fn inspect(car: &Car, chance: &mut Chance) -> Noted {
    let mut document = model::sample::inspection_document();
    let mut stops = Vec::new();
    let mut readings = Vec::new();
    let scale = Gauge::new(5_600.0, 5_470.0, 3.0, chance);
    let micrometer = Gauge::new(34.0, 33.2, 0.02, chance);
    let tester = Gauge::new(46.0, 34.0, 0.5, chance);
    let depth = Gauge::new(11.0, 3.0, 0.15, chance);
    let mut reach = [Reach::WheelOff; 4];
    let mut measured: [String; 4] = Default::default();
    for (at, corner) in car.corners.iter().enumerate() {
        reach[at] = match chance.share() {
            share if share < 0.15 => Reach::ThroughWheel,
            share if share < 0.35 => Reach::Mirror,
            _ => Reach::WheelOff,
        };
        let is_off = reach[at] == Reach::WheelOff;
        let mut take = |kind: &str, of: Value, unit: &str, claims: f64, values: &[f64], instrument: &str| {
            let points: Vec<_> = values
                .iter()
                .enumerate()
                .map(|(place, value)| json!({"at": format!("P{place}"), "value": value}))
                .collect();
            readings.push(json!({"id": format!("r{at}-{kind}"), "of": of, "unit": unit, "points": points,
                "uncertainty": claims, "taken_at": "2026-11-24T10:00:00+01:00",
                "instrument": {"name": instrument, "serial": null, "calibrated_on": null}}));
        };
        let mut kinds = Vec::new();
        if is_off && chance.is(0.4) {
            let grams = scale.read(corner.bulk, chance).round();
            take("mass", json!({"kind": "disc_mass", "corner": NAMES[at]}), "g", scale.claims, &[grams], "scale");
            if grams < scale.mark {
                stops.push(format!("mass {grams} g at {}", NAMES[at]));
            }
            kinds.push("mass");
        }
        if is_off && chance.is(0.6) {
            let around: Vec<_> = (0..4)
                .map(|_| (100.0 * (micrometer.read(corner.bulk, chance) + chance.normal(0.0, 0.008))).round() / 100.0)
                .collect();
            let of = json!({"kind": "disc_thickness", "corner": NAMES[at]});
            take("thickness", of, "mm", micrometer.claims, &around, "micrometer");
            if around.iter().any(|&mm| mm < micrometer.mark) {
                stops.push(format!("thickness at {}", NAMES[at]));
            }
            kinds.push("thickness");
        }
        if is_off && chance.is(0.4) {
            // The way from new to the mark is bent a little, differently on each car.
            let bent = corner.bulk + chance.normal(0.0, 0.03) * 4.0 * (corner.bulk * (1.0 - corner.bulk)).max(0.0);
            let values: Vec<_> = (0..3).map(|_| (10.0 * tester.read(bent, chance)).round() / 10.0).collect();
            let of = json!({"kind": "electrical", "corner": NAMES[at], "face": "outer"});
            take("electrical", of, "division", tester.claims, &values, "tester");
            if values.iter().any(|&value| value < tester.mark) {
                stops.push(format!("electrical at {}", NAMES[at]));
            }
            kinds.push("electrical");
        }
        measured[at] = kinds.join("+");
        for (pad, name) in FACES.into_iter().enumerate() {
            let is_reached = is_off || chance.is(if pad == 0 { 0.7 } else { 0.2 });
            if is_reached && chance.is(0.85) {
                let count = 1 + chance.place(3);
                // Besides the thinnest place, others are thicker.
                let values: Vec<_> = (0..count)
                    .map(|place| {
                        let thicker = if place == 0 { 0.0 } else { chance.between(0.0, 0.04) };
                        (10.0 * depth.read(corner.linings[pad] - thicker, chance)).round().clamp(0.0, 110.0) / 10.0
                    })
                    .collect();
                let of = json!({"kind": "lining", "corner": NAMES[at], "pad": name});
                take(&format!("lining-{name}"), of, "mm", depth.claims, &values, "depth gauge");
                if values.iter().any(|&mm| mm < 1.5) {
                    stops.push(format!("{} lining at {}", name, NAMES[at]));
                }
            }
        }
        document["corners"][NAMES[at]] = json!({"seen": corner_noted(car, at, corner, reach[at], &mut stops, chance)});
    }
    if chance.is(0.6) {
        let celsius = (car.fluid_c + chance.normal(0.0, 3.0)).round();
        readings.push(json!({"id": "fluid", "of": {"kind": "fluid_boiling_point"}, "unit": "degC",
            "points": [{"at": "reservoir", "value": celsius}], "uncertainty": 3.0, "taken_at": "2026-11-24T10:00:00+01:00",
            "instrument": {"name": "boiler", "serial": null, "calibrated_on": null}}));
        if celsius < 140.0 {
            stops.push(format!("fluid {celsius} °C"));
        }
    }
    if !car.bites {
        stops.push("no bite".to_owned());
    }
    document["readings"] = json!(readings);
    document["road_test"] = json!({"seen": {"driver": "I", "distance_km": 5.0, "note": null, "steps": [{
        "kind": "low_speed_dab", "from_km_h": 8.0, "felt": [if car.bites { "sharp_bite" } else { "no_bite" }],
        "heard": [], "anti_lock": null, "recordings": [], "note": null}]}});
    fit(&mut document, car, [&scale, &micrometer, &tester, &depth]);
    Noted { document, reach, measured, stops }
}

/// The car around the findings: its marks, its distance, and nothing that is left of the sample.
fn fit(document: &mut Value, car: &Car, [scale, micrometer, tester, depth]: [&Gauge; 4]) {
    let electrical: Vec<_> = (0..3)
        .map(|place| json!({"at": format!("P{place}"), "unit": "division", "new": tester.new, "limit": tester.mark}))
        .collect();
    let disc = json!({"serial": null, "diameter_mm": 390.0, "minimum_mass_g": scale.mark, "new_mass_g": scale.new,
        "minimum_thickness_mm": micrometer.mark, "new_thickness_mm": micrometer.new, "electrical": electrical,
        "most_runout_mm": null, "most_thickness_variation_mm": null});
    for axle in ["front", "rear"] {
        let brakes = &mut document["car"]["brakes"][axle];
        brakes["material"] = json!("carbon_ceramic");
        brakes["discs"] = json!({"left": disc, "right": disc});
        brakes["pads"] = json!({"lining_new_mm": depth.new, "renewal_mark_mm": depth.mark});
    }
    let changes = [
        ("discs_replaced", json!([])),
        ("prior_visits", json!([])),
        ("odometer", json!({"figure": car.km as u32, "unit": "km"})),
        ("vin_photograph", json!(null)),
        ("registration_photograph", json!(null)),
        ("odometer_photograph", json!(null)),
        ("first_registered", json!(null)),
    ];
    for (field, value) in changes {
        document["car"][field] = value;
    }
    for (field, value) in [("photographs", json!([])), ("recordings", json!([])), ("prices", json!(null))] {
        document[field] = value;
    }
}

fn corner_noted(
    car: &Car,
    at: usize,
    corner: &Corner,
    reach: Reach,
    stops: &mut Vec<String>,
    chance: &mut Chance,
) -> Value {
    let has = |trouble| corner.troubles.contains(&trouble);
    let mut shows = |usually: f64, trouble: Trouble, then: f64| chance.is(if has(trouble) { then } else { usually });
    let mut defects: [Vec<Value>; 2] = Default::default();
    let mark = |kind: &str, extent: Option<&str>| {
        json!({"kind": kind, "extent": extent, "size_mm": null, "place": {"hour": null, "zone": "full_width"},
            "photographs": [], "note": null})
    };
    if shows(0.015, Trouble::Cleaner, 0.75) {
        defects[0].push(mark("stain", None));
    }
    if shows(0.008, Trouble::Cleaner, 0.1) {
        defects[1].push(mark("stain", None));
    }
    for (kind, usually, trouble, then) in [
        ("heat_tint", 0.02, Trouble::Heat, 0.8),
        ("craze", 0.02, Trouble::Heat, 0.5),
        ("spalling", 0.005, Trouble::Heat, 0.15),
        ("deposit", 0.1, Trouble::Heat, 0.35),
        ("pad_print", 0.055, Trouble::Standing, 0.6),
        ("chip", 0.045, Trouble::Damage, 0.6),
        ("groove", 0.06, Trouble::Damage, 0.5),
    ] {
        if shows(usually, trouble, then) {
            for face in &mut defects {
                face.push(mark(kind, None));
            }
        }
    }
    if shows(0.004, Trouble::Damage, 0.25) {
        defects[0].push(mark("crack", Some("surface")));
    }
    let is_stained = shows(0.035, Trouble::Cleaner, 0.5);
    let is_etched = shows(0.003, Trouble::Cleaner, 0.35);
    let is_discoloured = shows(0.05, Trouble::Heat, 0.4);
    let is_corroded = shows(0.06, Trouble::Standing, 0.6);
    let drags = shows(0.004, Trouble::PadOrCalliper, 0.6);
    let is_tapered = shows(0.035, Trouble::PadOrCalliper, 0.6);
    let is_glazed = shows(0.07, Trouble::Heat, 0.5);
    let crumbles = shows(0.008, Trouble::Heat, 0.25);
    let is_off = reach == Reach::WheelOff;
    let sees_inner = is_off || chance.is(if reach == Reach::Mirror { 0.85 } else { 0.05 });
    if car.cracked == Some(at) {
        defects[0].push(mark("crack", Some(if chance.is(0.5) { "through" } else { "hole_to_edge" })));
        stops.push(format!("crack at {at}"));
    }
    let face =
        |side: usize, reach: Reach, chance: &mut Chance| face_noted(corner.faces[side], &defects[side], reach, chance);
    let outer_reach = if reach == Reach::Mirror { Reach::ThroughWheel } else { reach };
    let outer = face(0, outer_reach, chance);
    let inner = if sees_inner { json!({"seen": face(1, reach, chance)}) } else { json!({"not_inspected": "hidden"}) };
    let loose = car.lost_fixing == Some(at);
    let bell = if is_off || chance.is(0.7) {
        if loose {
            stops.push(format!("fixing at {at}"));
        }
        let finish = if is_etched {
            "etched"
        } else if is_stained {
            "stained"
        } else if is_discoloured {
            "discoloured"
        } else {
            "even"
        };
        json!({"seen": {"finish": finish, "fixings": {"missing_or_loose": u8::from(loose), "corroded": is_corroded},
            "note": null}})
    } else {
        json!({"not_inspected": "hidden"})
    };
    let pad = |is_worse: bool, chance: &mut Chance| {
        let taper = if is_tapered && is_worse { chance.between(0.9, 2.0) } else { chance.between(0.0, 0.4) };
        json!({"seen": {"lead": null, "taper_mm": (10.0 * taper).round() / 10.0, "glazed": is_glazed,
            "crumbling": crumbles && is_worse, "note": null}})
    };
    let (outer_pad, inner_pad) = if is_off {
        let (first, second) =
            (pad(corner.linings[0] > corner.linings[1], chance), pad(corner.linings[0] <= corner.linings[1], chance));
        (first, second)
    } else {
        (json!({"not_inspected": "hidden"}), json!({"not_inspected": "hidden"}))
    };
    // The taper of a lining that was measured at one place may itself be a reason not to drive; that is judged elsewhere.
    let calliper = if is_off || chance.is(0.5) {
        json!({"seen": {"state": if drags { "drags" } else { "free" }, "note": null}})
    } else {
        json!({"not_inspected": "hidden"})
    };
    json!({"outer_face": {"seen": outer}, "inner_face": inner, "bell": bell, "outer_pad": outer_pad,
        "inner_pad": inner_pad, "calliper": calliper})
}

/// A face by its signs: each with its own borders and its own error of judgement, now and then a careless step beside.
fn face_noted(wear: f64, defects: &[Value], reach: Reach, chance: &mut Chance) -> Value {
    let (eye, careless, touched) = match reach {
        Reach::WheelOff => (0.10, 0.02, 0.97),
        Reach::Mirror => (0.14, 0.05, 0.6),
        Reach::ThroughWheel => (0.16, 0.06, 0.4),
    };
    let judge = |words: [&str; 3], borders: [f64; 2], blur: f64, told: f64, chance: &mut Chance| {
        let seen = wear + chance.normal(0.0, blur);
        let mut place = borders.iter().filter(|&&border| seen >= border).count();
        if chance.is(careless) {
            place = if chance.is(0.5) { place.saturating_sub(1) } else { (place + 1).min(2) };
        }
        chance.is(told).then(|| words[place].to_owned())
    };
    let touch = judge(["slick", "slightly_rough", "abrasive"], [0.54, 0.83], eye, touched, chance);
    let pattern = judge(["faint", "clear", "crowded"], [0.29, 0.74], eye, 0.97, chance);
    let colour = judge(["near_black", "dark_grey", "greyed"], [0.32, 0.71], 1.4 * eye, 0.97, chance);
    json!({"seen": reach.word(), "touch": touch, "fibre_pattern": pattern, "colour": colour, "defects": defects,
        "note": null})
}
