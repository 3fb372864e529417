//! The car, its brakes as fitted, and its earlier visits.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{
    Day,
    choice::{Axle, CornerName, FaceName, PerAxle, PerSide, names},
    corner::{Colour, FibrePattern, HowSeen, Touch},
    id::{Label, Sha256},
    inspection::Inspection,
    quantity::{Gram, Kilogram, Kilometre, Millimetre},
    reading::{Reading, Unit},
    text::Line,
    vin::Vin,
};

names!(
    /// What the odometer counts in.
    OdometerUnit {
        /// Kilometres.
        Km = "km",
        /// Statute miles.
        Mi = "mi",
    }
);
names!(
    /// What a disc is made of.
    DiscMaterial {
        /// Carbon-fibre reinforced ceramic.
        CarbonCeramic = "carbon-ceramic",
        /// Grey cast iron.
        Iron = "iron",
    }
);

names!(
    /// The class of the brake fluid, as the car's maker asks for it.
    FluidClass {
        /// DOT 3.
        Dot3 = "DOT 3",
        /// DOT 4.
        Dot4 = "DOT 4",
        /// DOT 5.1.
        Dot51 = "DOT 5.1",
        /// ISO 4925 class 6.
        Iso6 = "ISO 4925 class 6",
    }
);

/// An odometer's figure with the unit that it counts in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Odometer {
    /// The figure shown, whole.
    #[schemars(range(max = 3_000_000))]
    pub figure: u32,
    /// What it counts in.
    pub unit: OdometerUnit,
}

impl Odometer {
    /// More than any car has run, in either unit.
    pub const MOST: u32 = 3_000_000;
    /// Kilometres per statute mile (international yard and pound agreement of 1959; exact).
    pub const KM_PER_MILE: f64 = 1.609_344;

    /// The distance in kilometres.
    pub fn km(self) -> f64 {
        match self.unit {
            OdometerUnit::Km => f64::from(self.figure),
            OdometerUnit::Mi => f64::from(self.figure) * Self::KM_PER_MILE,
        }
    }
}

/// The car.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Car {
    /// Vehicle identification number, as read on the car.
    pub vin: Vin,
    /// Registration, as read on the plate.
    pub registration: Line,
    /// Make and model, as the papers say.
    pub description: Line,
    /// First registered, where known.
    pub first_registered: Option<Day>,
    /// Odometer at this visit.
    pub odometer: Odometer,
    /// Photograph of the identification number.
    pub vin_photograph: Option<Label>,
    /// Photograph of the registration plate.
    pub registration_photograph: Option<Label>,
    /// Photograph of the odometer.
    pub odometer_photograph: Option<Label>,
    /// Mass ready to drive, where known.
    pub mass_kg: Option<Kilogram>,
    /// The class of brake fluid that the maker asks for, where known.
    pub fluid_class: Option<FluidClass>,
    /// The brakes as fitted.
    pub brakes: PerAxle<AxleFitment>,
    /// Pad sets used up so far by axle, where known.
    pub pad_sets_used: PerAxle<Option<u8>>,
    /// Discs replaced since the last visit, or ever when there was none.
    #[schemars(length(max = 100))]
    pub discs_replaced: Vec<DiscReplacement>,
    /// Earlier visits of this car, oldest first.
    #[schemars(length(max = 200))]
    pub prior_visits: Vec<PriorVisit>,
}

/// What is fitted on one axle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AxleFitment {
    /// What the discs are made of.
    pub material: DiscMaterial,
    /// Each disc with its own marks.
    pub discs: PerSide<Disc>,
    /// The pads.
    pub pads: PadFitment,
    /// The tyre's size.
    pub tyre: TyreSize,
}

/// One disc and what is marked on it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Disc {
    /// Serial number, where legible.
    pub serial: Option<Line>,
    /// Outer diameter, where known.
    pub diameter_mm: Option<Millimetre>,
    /// Least mass as marked.
    pub minimum_mass_g: Option<Gram>,
    /// Mass when new, where known.
    pub new_mass_g: Option<Gram>,
    /// Least thickness as marked.
    pub minimum_thickness_mm: Option<Millimetre>,
    /// Thickness when new, where known.
    pub new_thickness_mm: Option<Millimetre>,
    /// Limits of an electrical reading at the marked points.
    #[schemars(length(max = 64))]
    pub electrical: Vec<ElectricalMark>,
    /// Largest runout allowed, where known.
    pub most_runout_mm: Option<Millimetre>,
    /// Largest thickness variation allowed, where known.
    pub most_thickness_variation_mm: Option<Millimetre>,
}

/// The limit of an electrical reading at one marked point of a disc.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ElectricalMark {
    /// The marked point.
    pub at: Line,
    /// Its unit.
    pub unit: Unit,
    /// The reading when new.
    #[schemars(range(min = 0.0, max = 10_000_000.0))]
    pub new: f64,
    /// The reading at which the disc is to be renewed.
    #[schemars(range(min = 0.0, max = 10_000_000.0))]
    pub limit: f64,
}

/// The pads of an axle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PadFitment {
    /// Lining when new, where known.
    pub lining_new_mm: Option<Millimetre>,
    /// Lining at which the maker calls for renewal, where known.
    pub renewal_mark_mm: Option<Millimetre>,
}

/// A tyre's size: `205/55 R16` is width 205 mm, aspect 55 %, rim 16 in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct TyreSize {
    /// Section width in millimetres.
    #[schemars(range(min = 100, max = 500))]
    pub width_mm: u16,
    /// Section height as a share of the width, in per cent.
    #[schemars(range(min = 15, max = 100))]
    pub aspect_percent: u8,
    /// Rim diameter in inches.
    #[schemars(range(min = 8, max = 30))]
    pub rim_in: u8,
}

/// A disc that was put on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DiscReplacement {
    /// Where.
    pub corner: CornerName,
    /// Serial number of the new disc.
    pub serial: Option<Line>,
    /// Odometer at that time, in kilometres.
    pub at_km: Option<Kilometre>,
    /// Who says so.
    pub origin: Line,
}

/// An earlier visit of this car.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PriorVisit {
    /// The day.
    pub on: Day,
    /// Odometer on that day.
    pub odometer: Odometer,
    /// Digest of its record, where it was sealed.
    pub record: Option<Sha256>,
    /// What was measured then, of what is measured again now.
    #[schemars(length(max = 200))]
    pub readings: Vec<Reading>,
    /// How faces were seen then.
    #[schemars(length(max = 8))]
    pub faces: Vec<EarlierFace>,
}

/// A face as it was seen on an earlier visit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct EarlierFace {
    /// Where.
    pub corner: CornerName,
    /// Which.
    pub face: FaceName,
    /// How it was seen.
    pub seen: HowSeen,
    /// How it felt.
    pub touch: Option<Touch>,
    /// How the fibre pattern showed.
    pub fibre_pattern: Option<FibrePattern>,
    /// Its colour.
    pub colour: Option<Colour>,
}

impl PriorVisit {
    /// A visit as a later one of the same car looks back on it.
    pub fn of(inspection: &Inspection, record: Option<Sha256>) -> Self {
        let faces = inspection.corners.iter().filter_map(|(name, corner)| Some((name, corner.seen()?))).flat_map(
            |(corner, seen)| {
                [(FaceName::Outer, &seen.outer_face), (FaceName::Inner, &seen.inner_face)].into_iter().filter_map(
                    move |(face, looked_at)| {
                        let looked_at = looked_at.seen()?;
                        Some(EarlierFace {
                            corner,
                            face,
                            seen: looked_at.seen,
                            touch: looked_at.touch,
                            fibre_pattern: looked_at.fibre_pattern,
                            colour: looked_at.colour,
                        })
                    },
                )
            },
        );
        Self {
            on: inspection.visited_at.date_naive(),
            odometer: inspection.car.odometer,
            record,
            faces: faces.collect(),
            readings: inspection.readings.clone(),
        }
    }
}

impl Car {
    /// The disc of this corner.
    pub const fn disc(&self, corner: CornerName) -> &Disc {
        self.brakes.at(corner.axle()).discs.at(corner.side())
    }

    /// The pads of this axle.
    pub const fn pads(&self, axle: Axle) -> &PadFitment {
        &self.brakes.at(axle).pads
    }
}
