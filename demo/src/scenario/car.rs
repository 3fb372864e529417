//! The car: an invented mid-engined two-seater.

use model::{Axle, CornerName, Unit};
use serde_json::{Value, json};

/// Its identification number; `00` is given to no maker, the ninth character is a valid check digit.
pub const VIN: &str = "00CVTM2S8RP000417";
/// Its plate, in no country's format.
pub const REGISTRATION: &str = "PMW-0417-Q";

/// What is marked on a disc, and what it was when new.
#[derive(Debug, Clone, Copy)]
pub struct DiscData {
    /// The number stamped on it.
    pub serial: &'static str,
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
        serial: "T-20417-L",
        new_mass_g: 6_248.0,
        minimum_mass_g: 6_098.0,
        new_thickness_mm: 38.0,
        minimum_thickness_mm: 37.2,
        new_reading: [48.0, 48.5, 47.5],
        reading_limit: [36.0, 36.5, 35.5],
    };
    let rear = DiscData {
        serial: "S-31186-L",
        new_mass_g: 5_542.0,
        minimum_mass_g: 5_412.0,
        new_thickness_mm: 32.0,
        minimum_thickness_mm: 31.2,
        new_reading: [44.0, 44.5, 43.5],
        reading_limit: [33.0, 33.5, 32.5],
    };
    match corner {
        CornerName::FrontLeft => front,
        CornerName::FrontRight => {
            DiscData { serial: "T-20422-R", new_mass_g: 6_231.0, minimum_mass_g: 6_081.0, ..front }
        }
        CornerName::RearLeft => rear,
        CornerName::RearRight => DiscData { serial: "S-31190-R", new_mass_g: 5_556.0, minimum_mass_g: 5_426.0, ..rear },
    }
}

/// The car as an inspection's `car`, at this odometer and with these earlier visits.
pub(super) fn car(odometer_km: u32, prior_visits: &[Value]) -> Value {
    json!({
        "vin": VIN,
        "registration": REGISTRATION,
        "description": "Corvane Tessel, two-seater, mid engine",
        "first_registered": "2022-03-14",
        "odometer": { "figure": odometer_km, "unit": "km" },
        "vin_photograph": "vin",
        "registration_photograph": "registration",
        "odometer_photograph": "odometer",
        "mass_kg": 1495.0,
        "fluid_class": "dot4",
        "brakes": { "front": fitment(Axle::Front), "rear": fitment(Axle::Rear) },
        "pad_sets_used": { "front": 1, "rear": 1 },
        "discs_replaced": [],
        "prior_visits": prior_visits
    })
}

fn fitment(axle: Axle) -> Value {
    let (discs, diameter_mm, (width_mm, aspect_percent)) = match axle {
        Axle::Front => ([CornerName::FrontLeft, CornerName::FrontRight], 410.0, (245, 35)),
        Axle::Rear => ([CornerName::RearLeft, CornerName::RearRight], 390.0, (305, 30)),
    };
    let [left, right] = discs.map(|corner| marks(&disc(corner), diameter_mm));
    json!({
        "material": "carbon_ceramic",
        "discs": { "left": left, "right": right },
        "pads": { "lining_new_mm": LINING_NEW_MM, "renewal_mark_mm": RENEWAL_MARK_MM },
        "tyre": { "width_mm": width_mm, "aspect_percent": aspect_percent, "rim_in": 20 }
    })
}

fn marks(data: &DiscData, diameter_mm: f64) -> Value {
    let electrical: Vec<_> = MARKED_POINTS
        .iter()
        .zip(data.new_reading.iter().zip(data.reading_limit))
        .map(|(at, (new, limit))| json!({ "at": at, "unit": Unit::Division, "new": new, "limit": limit }))
        .collect();
    json!({
        "serial": data.serial,
        "diameter_mm": diameter_mm,
        "minimum_mass_g": data.minimum_mass_g,
        "new_mass_g": data.new_mass_g,
        "minimum_thickness_mm": data.minimum_thickness_mm,
        "new_thickness_mm": data.new_thickness_mm,
        "electrical": electrical,
        "most_runout_mm": 0.08,
        "most_thickness_variation_mm": 0.03
    })
}
