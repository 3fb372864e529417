//! What a photograph of a disc's face shows where the inspector marked the ring. The types only; the crate `photo` fills
//! them. It suggests; the inspector decides.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::{choice::names, colour::Lab, quantity::Millimetre, reckoning::Estimate};

names!(
    /// A stage of wear that the inspector knows a photograph to show.
    ReferenceStage {
        /// As new.
        Start = "as new",
        /// Part-worn.
        Middle = "part-worn",
        /// At its end.
        End = "spent",
    }
);

/// A face, measured in its photograph.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MeasuredFace {
    /// Where the inspector marked the ring.
    pub mark: DiscMark,
    /// What the ring shows.
    pub seen: FaceSeen,
    /// Which stage it is most like; none where there were too few references to compare it with.
    pub proposal: Option<Proposal>,
}

/// Where an inspector marked a ring in a photograph, in pixels of the upright picture from its upper left corner.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DiscMark {
    /// The outer edge at the disc's right, below, left and above.
    pub outer: [(f64, f64); 4],
    /// The same of the inner edge.
    pub inner: [(f64, f64); 4],
    /// The known length: the disc's outer diameter.
    pub outer_diameter_mm: Millimetre,
    /// A grey card in the picture.
    pub grey_card: Option<GreyCardMark>,
}

/// A part of a grey card in a picture.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct GreyCardMark {
    /// Left, upper, width and height of the part, in pixels.
    pub part: (u32, u32, u32, u32),
    /// The share of light that it reflects: 0.18 for the usual one.
    #[schemars(range(min = 0.01, max = 1.0))]
    pub reflects: f64,
}

/// What a marked ring shows.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FaceSeen {
    /// The fibre pattern and colour over the whole ring, and how they vary around it.
    pub pattern: Pattern,
    /// What speaks for and against the photograph as evidence.
    pub quality: DiscQuality,
    /// Share of the ring that was left out: holes and glare.
    pub masked: f64,
    /// How even the colour of the bell is, inside the marked ring: mean CIEDE2000 distance of its patches from their mean.
    pub bell_evenness: Estimate,
}

/// Figures of one part of a ring, in the order of [`Pattern::NAMES`].
pub type PartFigures = [f64; 9];

/// What the ring shows.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Pattern {
    /// Share of the area that stands out at each of [`Pattern::SCALES_MM`].
    pub density: [Estimate; 3],
    /// Root mean square by which it does.
    pub contrast: [Estimate; 3],
    /// Co-occurrence over the whole ring.
    pub texture: Texture,
    /// Mean colour.
    pub colour: Lab,
    /// How even the colour is: mean CIEDE2000 distance of the parts from it.
    pub colour_evenness: f64,
    /// The same for each part of the ring, to be compared.
    #[schemars(length(max = 12))]
    pub parts: Vec<PartFigures>,
    /// The mean colour of each part.
    #[schemars(length(max = 12))]
    pub part_colours: Vec<Lab>,
}

impl Pattern {
    /// Scales at which the pattern is looked at, in mm: single fibre bundles, their crossings, patches of them.
    pub const SCALES_MM: [f64; 3] = [1.2, 2.4, 4.8];
    /// What the figures of a part are.
    pub const NAMES: [&str; 9] = [
        "density at 1.2 mm",
        "density at 2.4 mm",
        "density at 4.8 mm",
        "contrast at 1.2 mm",
        "contrast at 2.4 mm",
        "contrast at 4.8 mm",
        "homogeneity",
        "correlation",
        "lightness",
    ];
}

/// What a co-occurrence table says of a texture (Haralick, Shanmugam and Dinstein 1973).
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Texture {
    /// Σ p (i − j)².
    pub contrast: f64,
    /// Σ p |i − j|.
    pub dissimilarity: f64,
    /// Σ p / (1 + (i − j)²).
    pub homogeneity: f64,
    /// √ Σ p².
    pub energy: f64,
    /// Correlation of neighbouring levels; 1 where all are the same.
    pub correlation: f64,
}

/// What speaks for and against a photograph as evidence of a face.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DiscQuality {
    /// mm of the disc that a pixel shows.
    pub mm_per_pixel: f64,
    /// Variance of the Laplacian over the ring, in squared grey levels.
    pub sharpness: f64,
    /// Share of the ring at the top of the camera's range.
    pub clipped: f64,
    /// Share of it at the bottom.
    pub black: f64,
    /// Whether the figures may be used: sharp, neither washed out nor dark.
    pub passes: bool,
}

/// What is proposed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Proposal {
    /// The stage that the face is most like; none where it is unlike any reference.
    pub stage: Option<ReferenceStage>,
    /// How far it is from each stage, start to end: 1 is as far as references of one stage are from each other.
    pub distances: [f64; 3],
    /// CIEDE2000 to the mean colour of each stage.
    pub colour_distances: [f64; 3],
    /// How many references it was compared with.
    #[schemars(range(max = 10_000))]
    pub references: u32,
}
