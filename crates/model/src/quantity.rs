//! Figures that carry their unit in the type and their range in the parser.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A figure outside of what its quantity can be.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("got {got} {unit}, expected {name} from {low} to {high} {unit}")]
pub struct QuantityError {
    /// The figure that came.
    pub got: f64,
    /// What it was meant to be.
    pub name: &'static str,
    /// Its unit.
    pub unit: &'static str,
    /// The least that is accepted.
    pub low: f64,
    /// The most that is accepted.
    pub high: f64,
}

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $words:literal, $unit:literal, $low:literal ..= $high:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize, JsonSchema)]
        #[serde(try_from = "f64", into = "f64")]
        #[schemars(with = "f64", extend("minimum" = $low, "maximum" = $high))]
        pub struct $name(f64);

        impl $name {
            /// The unit's symbol.
            pub const UNIT: &'static str = $unit;

            /// The plain figure, in the unit of the type.
            pub const fn value(self) -> f64 {
                self.0
            }
        }

        impl TryFrom<f64> for $name {
            type Error = QuantityError;

            fn try_from(got: f64) -> Result<Self, QuantityError> {
                // A comparison with NaN is false, so it lands in the error.
                if ($low..=$high).contains(&got) {
                    Ok(Self(got))
                } else {
                    Err(QuantityError { got, name: $words, unit: $unit, low: $low, high: $high })
                }
            }
        }

        impl From<$name> for f64 {
            fn from(figure: $name) -> f64 {
                figure.0
            }
        }
    };
}

quantity!(
    /// A mass in grams: a brake disc, at most 50 kg.
    Gram, "a disc's mass", "g", 1.0..=50_000.0
);
quantity!(
    /// A mass in kilograms: a car ready to drive.
    Kilogram, "a car's mass", "kg", 100.0..=7_500.0
);
quantity!(
    /// A length in millimetres: a disc's thickness, a lining, a defect.
    Millimetre, "a length", "mm", 0.0..=1_000.0
);
quantity!(
    /// A distance in kilometres.
    Kilometre, "a distance", "km", 0.0..=5_000_000.0
);
quantity!(
    /// A speed in kilometres per hour.
    KilometrePerHour, "a road speed", "km/h", 0.0..=400.0
);
quantity!(
    /// A temperature in degrees Celsius: air, disc or boiling fluid.
    Celsius, "a temperature", "°C", -60.0..=1_500.0
);
quantity!(
    /// A share in per cent.
    Percent, "a share", "%", 0.0..=100.0
);
quantity!(
    /// A share from 0 to 1.
    Fraction, "a share", "", 0.0..=1.0
);
quantity!(
    /// A standard uncertainty (one standard deviation, GUM 3.3), in the unit of the figure that it belongs to.
    StandardUncertainty, "a standard uncertainty", "of the reading's unit", 0.000_001..=10_000.0
);
