//! What was measured: of what, where, with which instrument, how sure.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{
    Timestamp,
    choice::{CornerName, FaceName, PadName, names},
    id::Label,
    quantity::StandardUncertainty,
    text::Line,
};

names!(
    /// Which brake pressed.
    WhichBrake {
        /// The service brake.
        Service = "service brake",
        /// The parking brake.
        Parking = "parking brake",
    }
);

/// The unit of a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum Unit {
    /// Grams.
    #[serde(rename = "g")]
    Gram,
    /// Kilograms.
    #[serde(rename = "kg")]
    Kilogram,
    /// Millimetres.
    #[serde(rename = "mm")]
    Millimetre,
    /// Micrometres.
    #[serde(rename = "um")]
    Micrometre,
    /// Degrees Celsius.
    #[serde(rename = "degC")]
    Celsius,
    /// Newtons.
    #[serde(rename = "N")]
    Newton,
    /// Ohms.
    #[serde(rename = "ohm")]
    Ohm,
    /// Milliohms.
    #[serde(rename = "mohm")]
    Milliohm,
    /// Microhenries.
    #[serde(rename = "uH")]
    Microhenry,
    /// Divisions of the instrument's own scale.
    #[serde(rename = "division")]
    Division,
}

impl Unit {
    /// The symbol that a reader sees.
    pub const fn symbol(self) -> &'static str {
        match self {
            Self::Gram => "g",
            Self::Kilogram => "kg",
            Self::Millimetre => "mm",
            Self::Micrometre => "µm",
            Self::Celsius => "°C",
            Self::Newton => "N",
            Self::Ohm => "Ω",
            Self::Milliohm => "mΩ",
            Self::Microhenry => "µH",
            Self::Division => "div",
        }
    }

    /// The unit that figures of this kind are compared in, and the factor to it.
    pub const fn to_base(self) -> (Self, f64) {
        match self {
            Self::Kilogram => (Self::Gram, 1_000.0),
            Self::Micrometre => (Self::Millimetre, 0.001),
            Self::Ohm => (Self::Milliohm, 1_000.0),
            other => (other, 1.0),
        }
    }
}

/// What is measured, and where.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum Measurand {
    /// The mass of a disc.
    DiscMass {
        /// Where.
        corner: CornerName,
    },
    /// The thickness of a disc's ring.
    DiscThickness {
        /// Where.
        corner: CornerName,
    },
    /// An electrical reading at the disc's marked points.
    Electrical {
        /// Where.
        corner: CornerName,
        /// On which face.
        face: FaceName,
    },
    /// How far the face moves sideways in a turn.
    Runout {
        /// Where.
        corner: CornerName,
        /// On which face.
        face: FaceName,
    },
    /// Difference of thickness around a turn.
    ThicknessVariation {
        /// Where.
        corner: CornerName,
    },
    /// Thickness of a lining without its backing plate.
    Lining {
        /// Where.
        corner: CornerName,
        /// Which pad.
        pad: PadName,
    },
    /// Boiling point of the brake fluid.
    FluidBoilingPoint,
    /// Brake force at one wheel on a roller tester.
    BrakeForce {
        /// Where.
        corner: CornerName,
        /// Which brake.
        brake: WhichBrake,
    },
}

/// One reading: one instrument on one thing, at one or several points.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Reading {
    /// Its name inside this inspection.
    pub id: Label,
    /// What is measured.
    pub of: Measurand,
    /// The unit of every point and of the uncertainty.
    pub unit: Unit,
    /// The figures, point by point.
    #[schemars(length(min = 1, max = 64))]
    pub points: Vec<Point>,
    /// Standard uncertainty of one point from the instrument and its use (GUM type B).
    pub uncertainty: StandardUncertainty,
    /// The instrument.
    pub instrument: Instrument,
    /// When.
    pub taken_at: Timestamp,
}

/// One figure of a reading.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Point {
    /// The place: a marked point, an hour, "middle".
    pub at: Line,
    /// The figure, in the reading's unit.
    pub value: f64,
}

/// An instrument.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Instrument {
    /// What it is.
    pub name: Line,
    /// Serial number.
    pub serial: Option<Line>,
    /// Last calibrated or checked.
    pub calibrated_on: Option<crate::Day>,
}

impl Measurand {
    /// What is measured, in words without the place.
    pub const fn words(self) -> &'static str {
        match self {
            Self::DiscMass { .. } => "disc mass",
            Self::DiscThickness { .. } => "disc thickness",
            Self::Electrical { .. } => "electrical reading",
            Self::Runout { .. } => "runout",
            Self::ThicknessVariation { .. } => "thickness variation",
            Self::Lining { .. } => "lining",
            Self::FluidBoilingPoint => "fluid boiling point",
            Self::BrakeForce { .. } => "brake force",
        }
    }

    /// The corner that it belongs to; none for the fluid.
    pub const fn corner(self) -> Option<CornerName> {
        match self {
            Self::DiscMass { corner }
            | Self::DiscThickness { corner }
            | Self::Electrical { corner, .. }
            | Self::Runout { corner, .. }
            | Self::ThicknessVariation { corner }
            | Self::Lining { corner, .. }
            | Self::BrakeForce { corner, .. } => Some(corner),
            Self::FluidBoilingPoint => None,
        }
    }

    /// The units in which it can be measured.
    pub const fn units(self) -> &'static [Unit] {
        match self {
            Self::DiscMass { .. } => &[Unit::Gram, Unit::Kilogram],
            Self::DiscThickness { .. } | Self::Lining { .. } => &[Unit::Millimetre],
            Self::Runout { .. } | Self::ThicknessVariation { .. } => &[Unit::Millimetre, Unit::Micrometre],
            Self::Electrical { .. } => &[Unit::Ohm, Unit::Milliohm, Unit::Microhenry, Unit::Division],
            Self::FluidBoilingPoint => &[Unit::Celsius],
            Self::BrakeForce { .. } => &[Unit::Newton],
        }
    }

    /// The least and the most that a point can be, in the base unit of its kind.
    pub const fn range(self) -> (f64, f64) {
        match self {
            Self::DiscMass { .. } => (1.0, 50_000.0),
            Self::DiscThickness { .. } => (1.0, 100.0),
            Self::Lining { .. } => (0.0, 40.0),
            Self::Runout { .. } | Self::ThicknessVariation { .. } => (0.0, 10.0),
            Self::Electrical { .. } => (0.0, 10_000_000.0),
            Self::FluidBoilingPoint => (60.0, 350.0),
            Self::BrakeForce { .. } => (0.0, 30_000.0),
        }
    }
}

impl Reading {
    /// The points in the base unit of their kind.
    pub fn base_values(&self) -> impl Iterator<Item = f64> {
        let (_, factor) = self.unit.to_base();
        self.points.iter().map(move |point| point.value * factor)
    }

    /// The instrument's standard uncertainty in the base unit.
    pub fn base_uncertainty(&self) -> f64 {
        self.uncertainty.value() * self.unit.to_base().1
    }
}
