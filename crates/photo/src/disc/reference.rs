//! Which stage of wear a face is most like, among photographs that the inspector gathered.

use super::{
    Lab, Pattern, ciede2000,
    pattern::{Figures, mean_colour},
};
use serde::{Deserialize, Serialize};

/// A stage of wear.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Stage {
    /// As new.
    Start,
    /// Part-worn.
    Middle,
    /// At its end.
    End,
}

/// A photograph whose stage is known.
#[derive(Debug, Clone, PartialEq)]
pub struct Reference {
    /// Its stage.
    pub stage: Stage,
    /// The means of its figures.
    pub figures: Figures,
    /// Its mean colour.
    pub colour: Lab,
}

impl Reference {
    /// A face as a reference for its stage.
    pub fn of(stage: Stage, pattern: &Pattern) -> Self {
        Self { stage, figures: means(pattern), colour: pattern.colour }
    }
}

/// References of all three stages.
#[derive(Debug, Clone, PartialEq)]
pub struct ReferenceSet {
    references: Vec<Reference>,
    /// How much each figure differs between references of one stage.
    spreads: Figures,
    /// How much the colour does, as CIEDE2000.
    colour_spread: f64,
}

/// Why references make no set.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ReferenceError {
    /// A stage with too few.
    #[error("there are {got} references of the stage {stage:?}, expected at least 2 of each")]
    TooFew {
        /// The stage.
        stage: Stage,
        /// How many it has.
        got: usize,
    },
}

/// What is proposed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Proposal {
    /// The stage that the face is most like; none where it is unlike any reference.
    pub stage: Option<Stage>,
    /// How far it is from each stage: 1 is as far as references of one stage are from each other.
    pub distances: [(Stage, f64); 3],
    /// CIEDE2000 to the mean colour of each stage.
    pub colour_distances: [f64; 3],
}

/// Farther than this it is unlike any. The project's assumption.
const UNLIKE: f64 = 3.5;
/// No figure is trusted to be steadier than this, relative to the whole range of the references.
const LEAST_SPREAD: f64 = 0.06;
/// A colour that differs less is the same to an eye.
const LEAST_COLOUR: f64 = 2.0;
const STAGES: [Stage; 3] = [Stage::Start, Stage::Middle, Stage::End];

fn means(pattern: &Pattern) -> Figures {
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
        for stage in STAGES {
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

    fn middle(&self, stage: Stage) -> (Figures, Lab) {
        let own: Vec<&Reference> = self.references.iter().filter(|one| one.stage == stage).collect();
        let figures = std::array::from_fn(|nth| own.iter().map(|one| one.figures[nth]).sum::<f64>() / own.len() as f64);
        (figures, mean_colour(&own.iter().map(|one| one.colour).collect::<Vec<_>>()))
    }

    /// The stage that a face is most like.
    pub fn propose(&self, pattern: &Pattern) -> Proposal {
        let figures = means(pattern);
        let to = |stage: Stage| {
            let (middle, colour) = self.middle(stage);
            // Lightness is part of the colour.
            let apart =
                (0..8).map(|nth| (figures[nth] - middle[nth]) / self.spreads[nth]).map(|one| one * one).sum::<f64>();
            let hue = ciede2000(pattern.colour, colour);
            let weighted = hue / self.colour_spread;
            (libm::sqrt((apart + weighted * weighted) / 9.0), hue)
        };
        let found = STAGES.map(to);
        let distances = std::array::from_fn(|nth| (STAGES[nth], found[nth].0));
        let nearest = distances.iter().min_by(|one, other| one.1.total_cmp(&other.1));
        Proposal {
            stage: nearest.filter(|(_, distance)| *distance < UNLIKE).map(|(stage, _)| *stage),
            distances,
            colour_distances: found.map(|(_, hue)| hue),
        }
    }
}
