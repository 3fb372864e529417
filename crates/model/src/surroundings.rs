//! The day, the road and the state of the car when it was looked at.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{
    choice::{PerCorner, names},
    quantity::Celsius,
    text::Line,
};

names!(
    /// The weather.
    Weather {
        /// Dry.
        Dry = "dry",
        /// Damp or drizzle.
        Damp = "damp",
        /// Rain.
        Rain = "rain",
        /// Snow or ice.
        SnowOrIce = "snow or ice",
        /// Under a roof.
        Indoors = "indoors",
    }
);
names!(
    /// The surface of the road that was driven.
    RoadSurface {
        /// Dry asphalt or concrete.
        DryHard = "dry hard surface",
        /// Wet asphalt or concrete.
        WetHard = "wet hard surface",
        /// Loose.
        Loose = "loose surface",
        /// Not driven.
        NotDriven = "not driven",
    }
);

/// The day, the road and the state of the car.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Surroundings {
    /// The weather.
    pub weather: Weather,
    /// The road.
    pub road_surface: RoadSurface,
    /// Air temperature.
    pub air_c: Option<Celsius>,
    /// Each disc's temperature before it was looked at, where measured.
    pub disc_c: PerCorner<Option<Celsius>>,
    /// Tyres: state and pressures, as far as they bear on the road test.
    pub tyres: Line,
}
