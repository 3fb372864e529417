//! Building the tree that says where a figure came from.

use model::{Evidence, Explanation, Figure, Reading, Source};

/// Half the width of a 95 % interval of a normal distribution, in standard deviations (JCGM 100:2008, table G.1).
const HALF_WIDTH_95: f64 = 1.96;

/// A value with its standard uncertainty and where it came from.
#[derive(Debug, Clone)]
pub struct Estimate {
    /// The best value.
    pub value: f64,
    /// One standard deviation.
    pub uncertainty: f64,
    /// Where it came from.
    pub because: Explanation,
}

impl Estimate {
    /// The figure as a record keeps it, with its 95 % interval.
    pub fn into_figure(self) -> Figure {
        Figure {
            value: self.value,
            uncertainty: self.uncertainty,
            low: self.value - HALF_WIDTH_95 * self.uncertainty,
            high: self.value + HALF_WIDTH_95 * self.uncertainty,
            because: self.because,
        }
    }
}

/// A step that rests on a reading.
pub fn from_reading(reading: &Reading, text: String, source: Source) -> Explanation {
    Explanation { text, source, evidence: vec![Evidence::Reading { id: reading.id.clone() }], parts: Vec::new() }
}

/// A step that rests on the steps below it.
pub fn from_parts(text: String, source: Source, parts: Vec<Explanation>) -> Explanation {
    Explanation { text, source, evidence: Vec::new(), parts }
}

/// A published document, with its clause and how it is known.
pub fn published(document: &str) -> Source {
    Source::Published { document: document.to_owned() }
}
