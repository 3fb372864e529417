//! Which stage of wear a face is most like, among photographs that the inspector gathered.

use model::{Lab, PartFigures, Pattern, Proposal, ReferenceStage, ciede2000};
use serde::{Deserialize, Serialize};

use super::pattern::mean_colour;

/// A photograph whose stage is known.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Reference {
    /// Its stage.
    pub stage: ReferenceStage,
    /// The means of its figures.
    pub figures: PartFigures,
    /// Its mean colour.
    pub colour: Lab,
}

impl Reference {
    /// A face as a reference for its stage.
    pub fn of(stage: ReferenceStage, pattern: &Pattern) -> Self {
        Self { stage, figures: means(pattern), colour: pattern.colour }
    }
}

/// References of all three stages.
#[derive(Debug, Clone, PartialEq)]
pub struct ReferenceSet {
    references: Vec<Reference>,
    /// How much each figure differs between references of one stage.
    spreads: PartFigures,
    /// How much the colour does, as CIEDE2000.
    colour_spread: f64,
}

/// Why references make no set.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ReferenceError {
    /// A stage with too few.
    #[error("there are {got} references that show a face {}, expected at least 2 of each stage", stage.words())]
    TooFew {
        /// The stage.
        stage: ReferenceStage,
        /// How many it has.
        got: usize,
    },
}

/// Farther than this it is unlike any. The project's assumption.
const UNLIKE: f64 = 3.5;
/// No figure is trusted to be steadier than this, relative to the whole range of the references.
const LEAST_SPREAD: f64 = 0.06;
/// A colour that differs less is the same to an eye.
const LEAST_COLOUR: f64 = 2.0;

fn means(pattern: &Pattern) -> PartFigures {
    std::array::from_fn(|nth| {
        pattern.parts.iter().map(|part| part[nth]).sum::<f64>() / pattern.parts.len().max(1) as f64
    })
}

impl ReferenceSet {
    /// A set of references: at least two of each stage.
    ///
    /// # Errors
    /// [`ReferenceError::TooFew`].
    pub fn new(references: Vec<Reference>) -> Result<Self, ReferenceError> {
        for &stage in ReferenceStage::ALL {
            let got = references.iter().filter(|one| one.stage == stage).count();
            if got < 2 {
                return Err(ReferenceError::TooFew { stage, got });
            }
        }
        let mut set = Self { references, spreads: [0.0; 9], colour_spread: LEAST_COLOUR };
        let (mut colour, mut squares, mut count) = (0.0, [0.0; 9], 0.0);
        for one in &set.references {
            let (figures, mean) = set.middle(one.stage);
            for (square, (value, mean)) in squares.iter_mut().zip(one.figures.iter().zip(figures)) {
                *square += (value - mean) * (value - mean);
            }
            colour += ciede2000(one.colour, mean);
            count += 1.0;
        }
        let free: f64 = count - 3.0;
        set.spreads = std::array::from_fn(|nth| {
            let all = set.references.iter().map(|one| one.figures[nth]);
            let range = all.clone().fold(f64::NEG_INFINITY, f64::max) - all.fold(f64::INFINITY, f64::min);
            libm::sqrt(squares[nth] / free).max(LEAST_SPREAD * range).max(1e-6)
        });
        set.colour_spread = (colour / count * count / free).max(LEAST_COLOUR);
        Ok(set)
    }

    fn middle(&self, stage: ReferenceStage) -> (PartFigures, Lab) {
        let own: Vec<&Reference> = self.references.iter().filter(|one| one.stage == stage).collect();
        let figures = std::array::from_fn(|nth| own.iter().map(|one| one.figures[nth]).sum::<f64>() / own.len() as f64);
        (figures, mean_colour(&own.iter().map(|one| one.colour).collect::<Vec<_>>()))
    }

    /// The stage that a face is most like.
    pub fn propose(&self, pattern: &Pattern) -> Proposal {
        let figures = means(pattern);
        let to = |stage: ReferenceStage| {
            let (middle, colour) = self.middle(stage);
            // Lightness is part of the colour.
            let apart =
                (0..8).map(|nth| (figures[nth] - middle[nth]) / self.spreads[nth]).map(|one| one * one).sum::<f64>();
            let hue = ciede2000(pattern.colour, colour);
            let weighted = hue / self.colour_spread;
            (libm::sqrt((apart + weighted * weighted) / 9.0), hue)
        };
        let found =
            [ReferenceStage::Start, ReferenceStage::Middle, ReferenceStage::End].map(|stage| (stage, to(stage)));
        let nearest = found.iter().min_by(|(_, one), (_, other)| one.0.total_cmp(&other.0));
        Proposal {
            stage: nearest.filter(|(_, (distance, _))| *distance < UNLIKE).map(|(stage, _)| *stage),
            distances: found.map(|(_, (distance, _))| distance),
            colour_distances: found.map(|(_, (_, hue))| hue),
            references: u32::try_from(self.references.len()).unwrap_or(u32::MAX),
        }
    }
}
