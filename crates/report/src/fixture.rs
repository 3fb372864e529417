//! An invented record for the tests: an ordinary visit with something of everything.

use std::collections::BTreeMap;

use model::{
    Answer, CornerLife, CornerName, CornerReckoning, CostReckoning, CostRow, Currency, Decimal, DriveWarning, Evidence,
    Explanation, Figure, Inspected, Inspection, Life, MethodVersion, PerCorner, Photograph, PriceItem, Reckoning,
    Record, ReportPhotograph, Sentence, Sha256, Source, Stage,
};
use serde_json::{Value, json};

/// A record with its canonical bytes and the copies of its photographs.
pub(crate) struct Fixture {
    pub record: Record,
    pub copies: BTreeMap<Sha256, Vec<u8>>,
}

impl Fixture {
    /// A visit with so many photographs.
    pub(crate) fn with_photographs(count: usize) -> Self {
        let mut inspection = inspection();
        let mut copies = BTreeMap::new();
        let mut report_photographs = Vec::new();
        for place in 0..count {
            let (width, height) = if place % 5 == 3 { (48, 64) } else { (64, 48) };
            let bytes = picture(width, height, place);
            let sha256 = Sha256::of(&bytes);
            let photograph = photograph(place);
            report_photographs.push(ReportPhotograph {
                id: photograph.id.clone(),
                sha256,
                width_px: u32::from(width),
                height_px: u32::from(height),
            });
            inspection.photographs.push(photograph);
            copies.insert(sha256, bytes);
        }
        let record = Record {
            schema: model::RecordSchema::V1,
            renderer: crate::RENDERER,
            salt: model::Salt::new([7; 16]),
            device: model::Device { id: parsed("tablet-1"), sequence: 12, previous: Some(Sha256::new([9; 32])) },
            frozen_at: parsed("2026-11-24T15:20:00+01:00"),
            author: line("Ines Okafor-Lind"),
            verify_at: Some(line("https://check.harbour-vale.example/")),
            supersedes: None,
            inspection,
            report_photographs,
            reckoning: reckoning(),
        };
        Self { record, copies }
    }

    /// The same with a recorded drive, and what was measured in the first photograph.
    pub(crate) fn measured(mut self) -> Self {
        if let Inspected::Seen(test) = &mut self.record.inspection.road_test {
            test.drives.push(model::sample::drive());
        }
        self.record.inspection.photographs[0].measured = Some(model::sample::measured_face());
        self
    }

    pub(crate) fn bytes(&self) -> Vec<u8> {
        model::canonical_json(&self.record).expect("a record has a canonical form")
    }

    pub(crate) fn render(&self) -> Result<crate::Prepared, crate::RenderError> {
        crate::render(&self.record, &self.bytes(), &self.copies.values().map(Vec::as_slice).collect())
    }
}

fn parsed<T: serde::de::DeserializeOwned>(value: impl Into<Value>) -> T {
    serde_json::from_value(value.into()).expect("the fixture fits the model")
}

pub(crate) fn line(text: &str) -> model::Line {
    parsed(text)
}

pub(crate) fn note(text: &str) -> model::Note {
    parsed(text)
}

/// A small picture that differs from place to place.
fn picture(width: u16, height: u16, place: usize) -> Vec<u8> {
    let mut pixels = Vec::new();
    for y in 0..usize::from(height) {
        for x in 0..usize::from(width) {
            pixels.extend([(x * 4 + place) as u8, (y * 4) as u8, (place * 31) as u8]);
        }
    }
    let mut bytes = Vec::new();
    let encoder = jpeg_encoder::Encoder::new(&mut bytes, 80);
    encoder.encode(&pixels, width, height, jpeg_encoder::ColorType::Rgb).expect("a small picture can be coded");
    bytes
}

fn photograph(place: usize) -> Photograph {
    let corner = ["front_left", "front_right", "rear_left", "rear_right"][place % 4];
    let subject = match place % 7 {
        0..=2 => {
            json!({"of": "face", "corner": corner, "face": if place.is_multiple_of(2) { "outer" } else { "inner" }})
        }
        3 => json!({"of": "pad", "corner": corner, "pad": "inner"}),
        4 => json!({"of": "bell", "corner": corner}),
        5 => json!({"of": "calliper", "corner": corner}),
        _ => json!({"of": (["vin", "registration", "odometer", "instrument"][place / 7 % 4])}),
    };
    parsed(json!({
        "id": format!("p{place:03}"),
        "sha256": Sha256::of(&place.to_be_bytes()).to_string(),
        "subject": subject,
        "taken": if place % 3 == 2 { "imported" } else { "in_app" },
        "taken_at": (place % 4 != 3).then_some("2026-11-24T10:41:00+01:00"),
        "caption": place.is_multiple_of(2).then_some("The stain below the upper hole, with the scale held beside it"),
    }))
}

fn face(touch: &str, pattern: &str, colour: &str, defects: &Value) -> Value {
    json!({"seen": {"seen": "wheel_off", "touch": touch, "fibre_pattern": pattern, "colour": colour,
        "defects": defects, "note": null}})
}

fn pad(glazed: bool, taper: Option<f64>) -> Value {
    json!({"seen": {"lead": "intact", "taper_mm": taper, "glazed": glazed, "crumbling": false, "note": null}})
}

fn corner(outer: &Value, inner: &Value, bell: &str, calliper: &str, taper: Option<f64>) -> Value {
    json!({"seen": {
        "outer_face": outer, "inner_face": inner,
        "bell": {"seen": {"finish": bell, "fixings": {"missing_or_loose": 0, "corroded": bell == "etched"}, "note": null}},
        "outer_pad": pad(false, None), "inner_pad": pad(taper.is_some(), taper),
        "calliper": {"seen": {"state": calliper, "note": null}},
    }})
}

fn disc(serial: &str, mass: u32) -> Value {
    json!({"serial": serial, "diameter_mm": 380.0, "minimum_mass_g": mass - 180, "new_mass_g": mass,
        "minimum_thickness_mm": 33.2, "new_thickness_mm": 34.0, "electrical": [
            {"at": "A", "unit": "uH", "new": 41.0, "limit": 33.5}, {"at": "B", "unit": "uH", "new": 41.2, "limit": 33.5}],
        "most_runout_mm": 0.12, "most_thickness_variation_mm": 0.03})
}

fn axle(left: &Value, right: &Value) -> Value {
    json!({"material": "carbon_ceramic", "discs": {"left": left, "right": right},
        "pads": {"lining_new_mm": 10.5, "renewal_mark_mm": 2.5},
        "tyre": {"width_mm": 245, "aspect_percent": 35, "rim_in": 20}})
}

fn reading(id: &str, of: &Value, unit: &str, points: &[(&str, f64)], uncertainty: f64) -> Value {
    let points: Vec<Value> = points.iter().map(|(at, value)| json!({"at": at, "value": value})).collect();
    json!({"id": id, "of": of, "unit": unit, "points": points, "uncertainty": uncertainty,
        "instrument": {"name": "Bench scale, 15 kg", "serial": "2231", "calibrated_on": "2026-03-02"},
        "taken_at": "2026-11-24T10:55:00+01:00"})
}

fn readings() -> Vec<Value> {
    let mut readings = Vec::new();
    let corners = ["front_left", "front_right", "rear_left", "rear_right"];
    for (place, (corner, mass)) in corners.into_iter().zip([5412.0, 5388.0, 4655.0, 4702.0]).enumerate() {
        let id = |what: &str| format!("{what}-{place}");
        readings.push(reading(
            &id("mass"),
            &json!({"kind": "disc_mass", "corner": corner}),
            "g",
            &[("whole", mass)],
            3.0,
        ));
        readings.push(reading(
            &id("thickness"),
            &json!({"kind": "disc_thickness", "corner": corner}),
            "mm",
            &[("12 o'clock", 33.82), ("4 o'clock", 33.8), ("8 o'clock", 33.79)],
            0.02,
        ));
        for (pad, lining) in [("outer", 6.4), ("inner", if corner == "rear_left" { 2.2 } else { 6.1 })] {
            readings.push(reading(
                &id(&format!("lining-{pad}")),
                &json!({"kind": "lining", "corner": corner, "pad": pad}),
                "mm",
                &[("middle", lining)],
                0.1,
            ));
        }
        readings.push(reading(
            &id("electrical"),
            &json!({"kind": "electrical", "corner": corner, "face": "outer"}),
            "uH",
            &[("A", 38.2), ("B", 37.9)],
            0.25,
        ));
    }
    readings.push(reading("fluid", &json!({"kind": "fluid_boiling_point"}), "degC", &[("reservoir", 214.0)], 2.5));
    readings
}

fn inspection() -> Inspection {
    let stain = json!([{"kind": "stain", "extent": null, "size_mm": 14.0, "place": {"hour": 4, "zone": "outer_third"},
        "photographs": [], "note": null}]);
    let tint = json!([{"kind": "heat_tint", "extent": null, "size_mm": null, "place": {"hour": null, "zone": "full_width"},
        "photographs": [], "note": "blue to straw"}]);
    let none = json!([]);
    let worn = |defects: &Value| face("slightly_rough", "clear", "dark_grey", defects);
    let mut rear_right = corner(&worn(&tint), &worn(&none), "discoloured", "free", None);
    rear_right["seen"]["inner_face"] = json!({"not_inspected": "the mirror could not be brought behind the shield"});
    parsed(json!({
        "schema": "rimside.inspection/1", "id": "tessel-visit-3", "demonstration": true,
        "visited_at": "2026-11-24T10:02:00+01:00", "place": "Saltmarsh Motor House, Port Merrow",
        "instruction": {"by": {"name": "Amara Quill", "role": "buyer"}, "owner": "Saltmarsh Motor House",
            "owner_permission": "in writing on 2026-11-20, to inspect and to drive"},
        "inspector": {"name": "Ines Okafor-Lind", "firm": "Harbour & Vale Inspections",
            "independence": "No ties to the buyer, the seller or the trade in parts",
            "insurance": "Merrow Mutual, policy 00-1177, up to EUR 250 000", "contact": "desk@harbour-vale.example"},
        "surroundings": {"weather": "dry", "road_surface": "dry_hard", "air_c": 9.5,
            "disc_c": {"front_left": 18.0, "front_right": 18.5, "rear_left": null, "rear_right": 19.0},
            "tyres": "even wear, 2.3 bar front, 2.5 bar rear, cold"},
        "car": {"vin": "00CTESSEX2M000317", "registration": "TSL 317", "description": "Corvane Tessel",
            "first_registered": "2023-05-04", "odometer": {"figure": 19460, "unit": "km"},
            "vin_photograph": null, "registration_photograph": null, "odometer_photograph": null, "mass_kg": 1495.0,
            "brakes": {"front": axle(&disc("CT-F-20931", 5700), &disc("CT-F-20932", 5700)),
                "rear": axle(&disc("CT-R-11404", 4900), &disc("CT-R-11405", 4900))},
            "pad_sets_used": {"front": 1, "rear": null}, "discs_replaced": [],
            "prior_visits": [{"on": "2024-11-18", "odometer": {"figure": 4120, "unit": "km"},
                "record": Sha256::of(b"visit 1").to_string(), "readings": [], "faces": []}]},
        "corners": {
            "front_left": corner(&worn(&none), &worn(&none), "even", "free", None),
            "front_right": corner(&worn(&stain), &worn(&none), "stained", "free", None),
            "rear_left": corner(&worn(&tint), &face("abrasive", "crowded", "greyed", &tint), "etched", "drags", Some(0.8)),
            "rear_right": rear_right},
        "readings": readings(),
        "road_test": {"seen": {"driver": "Ines Okafor-Lind", "distance_km": 11.5, "steps": [
            {"kind": "low_speed_dab", "from_km_h": 8.0, "felt": ["sharp_bite"], "heard": ["nearly_silent"],
                "anti_lock": null, "recordings": ["motion-1"], "note": null},
            {"kind": "half_effort", "from_km_h": 100.0, "felt": ["pulls_right"], "heard": ["coarse_noise"],
                "anti_lock": "not_reached", "recordings": [], "note": "a smell of hot pads afterwards"},
            {"kind": "full_effort", "from_km_h": 100.0, "felt": ["pulsing_pedal", "pulls_right"], "heard": ["coarse_noise"],
                "anti_lock": "worked", "recordings": [], "note": null}], "note": null}},
        "photographs": [],
        "recordings": [{"id": "motion-1", "sha256": Sha256::of(b"motion").to_string(), "what": "motion log, 100 Hz"}],
        "not_inspected": [{"what": "brake lines under the floor", "why": "the undertray was not taken off"}],
        "questions": [{"asked_by": "Amara Quill", "question": "Has the car been on a circuit?",
            "answer": "Twice, says the seller; no papers were shown."}],
        "remarks": "Ο δίσκος πίσω αριστερά έχει υπερθερμανθεί. Shown to Łukasz Đặng at the desk.\nThe 中文 label on the calliper could not be read.",
        "prices": {"currency": "EUR", "origin": "Saltmarsh Motor House, parts desk", "dated": "2026-11-20",
            "valid_until": null, "lines": []},
    }))
}

fn because(text: &str, source: Source, parts: Vec<Explanation>) -> Explanation {
    Explanation { text: text.into(), source, came_to: None, agreement: None, evidence: Vec::new(), parts }
}

fn figure(value: f64, uncertainty: f64, corner: CornerName) -> Figure {
    let mark = Explanation {
        evidence: vec![Evidence::Mark { corner }],
        ..because("new 5 700 g, minimum 5 520 g", Source::PartMark, Vec::new())
    };
    let touch = because(
        "a face that is slightly rough with a clear pattern stands between new and spent",
        Source::CommonPractice,
        Vec::new(),
    );
    Figure {
        value,
        uncertainty,
        low: (value - 1.96 * uncertainty).max(0.0),
        high: value + 1.96 * uncertainty,
        because: Explanation {
            evidence: vec![Evidence::Reading { id: parsed(format!("mass-{}", corner as u8)) }],
            ..because("the share of the wear that the marks allow", Source::Arithmetic, vec![mark, touch])
        },
    }
}

fn reckoning() -> Reckoning {
    let corners = PerCorner::from_fn(|corner| {
        let (bulk, outer, inner, pads, stage, pad_stage) = match corner {
            CornerName::FrontLeft => (0.16, 0.2, Some(0.22), (0.51, 0.55), Stage::PartWorn, Stage::PartWorn),
            CornerName::FrontRight => (0.17, 0.42, Some(0.24), (0.51, 0.55), Stage::PartWorn, Stage::PartWorn),
            CornerName::RearLeft => (0.61, 0.7, Some(1.04), (0.52, 1.04), Stage::EndOfLife, Stage::EndOfLife),
            CornerName::RearRight => (0.55, 0.62, None, (0.5, 0.55), Stage::PartWorn, Stage::PartWorn),
        };
        CornerReckoning {
            bulk: Some(figure(bulk, 0.03, corner)),
            outer_face: Some(figure(outer, 0.08, corner)),
            inner_face: inner.map(|inner| figure(inner, 0.08, corner)),
            outer_pad: Some(figure(pads.0, 0.02, corner)),
            inner_pad: Some(figure(pads.1, 0.02, corner)),
            disc_stage: stage,
            disc_chances: None,
            pad_stage,
            pad_chances: None,
            cause: None,
            life: CornerLife {
                disc: Life::NotReckoned("not told in this fixture".into()),
                pads: Life::NotReckoned("not told in this fixture".into()),
                disc_outlives_pads: Vec::new(),
            },
            missing: if inner.is_none() { vec!["the inner face, which was not inspected".into()] } else { Vec::new() },
        }
    });
    let sentence = |text: &str, evidence: Vec<Evidence>| Sentence { text: text.into(), evidence };
    let rear_left = CornerName::RearLeft;
    Reckoning {
        method: MethodVersion(1),
        corners,
        asymmetries: Vec::new(),
        distance: Vec::new(),
        measured: Vec::new(),
        next_look: None,
        drive_warnings: vec![
            DriveWarning {
                do_not_drive: true,
                text: "The rear left inner pad is worn past its renewal mark and the calliper drags.".into(),
                source: Source::CommonPractice,
                evidence: vec![Evidence::Calliper { corner: rear_left }],
            },
            DriveWarning {
                do_not_drive: false,
                text: "Have the rear left calliper freed before the pads are renewed.".into(),
                source: Source::ProjectAssumption,
                evidence: Vec::new(),
            },
        ],
        cost: Some(CostReckoning {
            currency: Currency::try_from("EUR".to_owned()).expect("EUR is a code"),
            rows: [(PriceItem::Disc, 2, 784_000), (PriceItem::PadSet, 1, 96_000), (PriceItem::LabourHour, 4, 48_000)]
                .map(|(item, quantity, cents)| CostRow {
                    axle: model::Axle::Rear,
                    item,
                    quantity: Decimal::from(quantity),
                    net: Decimal::new(cents, 2),
                    tax: Decimal::new(cents / 5, 2),
                    due_now: true,
                })
                .to_vec(),
            due_now: Decimal::new(1_113_600, 2),
            all: Decimal::new(2_420_400, 2),
            alternatives: Vec::new(),
            expected: Vec::new(),
            against_asking: Vec::new(),
            remarks: vec!["The prices are 4 days old.".into()],
        }),
        answer: Answer {
            lead: vec![
                sentence(
                    "The rear left disc is at the end of its life.",
                    vec![Evidence::Face { corner: rear_left, face: model::FaceName::Inner }],
                ),
                sentence(
                    "Its inner pad is past the renewal mark and the calliper drags; the three other discs are part-worn.",
                    vec![],
                ),
                sentence(
                    "The front right disc shows a first stain on its outer face, as a wheel cleaner leaves it.",
                    vec![],
                ),
            ],
            why: vec![sentence(
                "The rear left inner face is abrasive, its pattern crowded and its colour greyed.",
                vec![
                    Evidence::Face { corner: rear_left, face: model::FaceName::Inner },
                    Evidence::Reading { id: parsed("lining-inner-2") },
                ],
            )],
            limits: vec![sentence(
                "The rear right inner face was not seen.",
                vec![Evidence::Missing { what: "rear right, inner face".into() }],
            )],
            to_buyer: Vec::new(),
            to_seller: Vec::new(),
            to_workshop: Vec::new(),
            questions: Vec::new(),
        },
    }
}
