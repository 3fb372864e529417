//! Building the tree that says where a figure came from, and the notes that stand beside it.

use model::{Evidence, Explanation, Figure, Reading, Sentence, Source};

/// Half the width of a 95 % interval of a normal distribution, in standard deviations (JCGM 100:2008, table G.1).
pub const HALF_WIDTH_95: f64 = 1.96;

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

/// What is to be said of a corner beside its figures.
#[derive(Debug, Default)]
pub struct Notes {
    /// What could not be reckoned, and why.
    pub missing: Vec<String>,
    /// What a reader of the figures has to know: evidence that disagrees, values that cannot be.
    pub remarks: Vec<Sentence>,
}

impl Notes {
    /// Adds what could not be reckoned.
    pub fn miss(&mut self, what: impl Into<String>) {
        self.missing.push(what.into());
    }

    /// Adds what a reader has to know.
    pub fn remark(&mut self, text: String, evidence: Vec<Evidence>) {
        self.remarks.push(Sentence { text, evidence });
    }
}

/// A step that rests on readings.
pub fn from_readings(readings: &[&Reading], text: String, source: Source) -> Explanation {
    Explanation {
        text,
        source,
        evidence: readings.iter().map(|reading| reading_of(reading)).collect(),
        parts: Vec::new(),
    }
}

/// A step that rests on the steps below it.
pub fn from_parts(text: String, source: Source, parts: Vec<Explanation>) -> Explanation {
    Explanation { text, source, evidence: Vec::new(), parts }
}

/// A reading as evidence.
pub fn reading_of(reading: &Reading) -> Evidence {
    Evidence::Reading { id: reading.id.clone() }
}

/// A published document, with its clause and how it is known.
pub fn published(document: &str) -> Source {
    Source::Published { document: document.to_owned() }
}

/// "s" where there are several.
pub const fn plural(count: usize) -> &'static str {
    if count == 1 { "" } else { "s" }
}
