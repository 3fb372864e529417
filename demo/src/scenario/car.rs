//! The car: an invented mid-engined two-seater.

use model::CornerName;
use serde_json::{Value, json};

/// Its identification number; `00` is given to nobody, the ninth character is a valid check digit.
pub const VIN: &str = "00CRV2TS0SM000417";
/// Its plate, in no country's format.
pub const REGISTRATION: &str = "TESSEL-417";

/// What is marked on a disc, and what it was when new.
#[derive(Debug, Clone, Copy)]
pub struct DiscData {
    /// Mass when new, in grams.
    pub new_mass_g: f64,
    /// Least mass, in grams.
    pub minimum_mass_g: f64,
    /// Thickness when new, in millimetres.
    pub new_thickness_mm: f64,
    /// Least thickness, in millimetres.
    pub minimum_thickness_mm: f64,
    /// Reading when new at the marked points, in divisions.
    pub new_reading: [f64; 3],
    /// Reading at which the disc is to be renewed, in divisions.
    pub reading_limit: [f64; 3],
}

/// The marked points of each disc.
pub const MARKED_POINTS: [&str; 3] = ["A", "B", "C"];
/// Lining when new, in millimetres.
pub const LINING_NEW_MM: f64 = 11.0;
/// Lining at which the maker calls for renewal, in millimetres.
pub const RENEWAL_MARK_MM: f64 = 3.0;

/// The data of this corner's disc; each has its own.
pub const fn disc(corner: CornerName) -> DiscData {
    let front = DiscData {
        new_mass_g: 6_248.0,
        minimum_mass_g: 6_098.0,
        new_thickness_mm: 38.0,
        minimum_thickness_mm: 37.2,
        new_reading: [48.0, 48.5, 47.5],
        reading_limit: [36.0, 36.5, 35.5],
    };
    let rear = DiscData {
        new_mass_g: 5_412.0,
        minimum_mass_g: 5_282.0,
        new_thickness_mm: 32.0,
        minimum_thickness_mm: 31.2,
        new_reading: [44.0, 44.5, 43.5],
        reading_limit: [33.0, 33.5, 32.5],
    };
    match corner {
        CornerName::FrontLeft => front,
        CornerName::FrontRight => DiscData { new_mass_g: 6_231.0, minimum_mass_g: 6_081.0, ..front },
        CornerName::RearLeft => rear,
        CornerName::RearRight => DiscData { new_mass_g: 5_426.0, minimum_mass_g: 5_296.0, ..rear },
    }
}

/// The car as an inspection's `car`, at this odometer and with these earlier visits.
pub fn car(odometer_km: u32, prior_visits: &[Value]) -> Value {
    json!({
        "vin": VIN,
        "registration": REGISTRATION,
        "description": "Corvane Tessel, two-seater, mid engine",
        "first_registered": "2023-03-14",
        "odometer": { "figure": odometer_km, "unit": "km" },
        "vin_photograph": "vin",
        "registration_photograph": "registration",
        "odometer_photograph": "odometer",
        "mass_kg": 1495.0,
        "brakes": {
            "front": axle([CornerName::FrontLeft, CornerName::FrontRight], 410.0, "T", (245, 35, 20)),
            "rear": axle([CornerName::RearLeft, CornerName::RearRight], 390.0, "S", (305, 30, 20))
        },
        "pad_sets_used": { "front": 0, "rear": 0 },
        "discs_replaced": [],
        "prior_visits": prior_visits
    })
}

fn axle([left, right]: [CornerName; 2], diameter_mm: f64, letter: &str, tyre: (u16, u8, u8)) -> Value {
    json!({
        "material": "carbon_ceramic",
        "discs": {
            "left": marks(left, diameter_mm, &format!("{letter}L-20417")),
            "right": marks(right, diameter_mm, &format!("{letter}R-20422"))
        },
        "pads": { "lining_new_mm": LINING_NEW_MM, "renewal_mark_mm": RENEWAL_MARK_MM },
        "tyre": { "width_mm": tyre.0, "aspect_percent": tyre.1, "rim_in": tyre.2 }
    })
}

fn marks(corner: CornerName, diameter_mm: f64, serial: &str) -> Value {
    let data = disc(corner);
    let electrical: Vec<_> = (0..3)
        .map(|i| {
            json!({
                "at": MARKED_POINTS[i], "unit": "division",
                "new": data.new_reading[i], "limit": data.reading_limit[i]
            })
        })
        .collect();
    json!({
        "serial": serial,
        "diameter_mm": diameter_mm,
        "minimum_mass_g": data.minimum_mass_g,
        "new_mass_g": data.new_mass_g,
        "minimum_thickness_mm": data.minimum_thickness_mm,
        "new_thickness_mm": data.new_thickness_mm,
        "electrical": electrical,
        "most_runout_mm": 0.08,
        "most_thickness_variation_mm": 0.02
    })
}

/// What renewal costs, as the parts counter of an invented dealer quoted it.
pub fn prices() -> Value {
    let line = |axle: &str, item: &str, quantity: &str, price: &str| json!({ "axle": axle, "item": item, "quantity": quantity, "unit_price": price, "tax_percent": 21.0 });
    json!({
        "currency": "EUR",
        "origin": "Saltmarsh Motor House, parts counter, quotation 26-1180",
        "dated": "2026-11-20",
        "valid_until": "2026-12-31",
        "lines": [
            line("front", "disc", "2", "5890.00"),
            line("front", "pad_set", "1", "1140.00"),
            line("front", "wear_lead", "2", "46.50"),
            line("front", "fixings", "2", "118.00"),
            line("front", "labour_hour", "4.5", "145.00"),
            line("rear", "disc", "2", "5460.00"),
            line("rear", "pad_set", "1", "1020.00"),
            line("rear", "wear_lead", "2", "46.50"),
            line("rear", "fixings", "2", "118.00"),
            line("rear", "labour_hour", "5", "145.00")
        ]
    })
}
