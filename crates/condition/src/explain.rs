//! Building the tree that says where a figure came from, and the notes that stand beside it.

use model::{Agreement, Culprit, Evidence, Explanation, Figure, Reading, Sentence, Source};

use crate::{
    chance::HALF_WIDTH_95,
    combine::{Combined, LEAST_TO_TELL},
};

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
            because: self.into_step(),
        }
    }

    /// The step of a larger explanation that says what it came to.
    pub fn into_step(self) -> Explanation {
        let came_to = Some(model::Estimate { value: self.value, uncertainty: self.uncertainty });
        Explanation { came_to, ..self.because }
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
    from_evidence(text, source, readings.iter().map(|reading| reading_of(reading)).collect())
}

/// A step that rests on what was found.
pub const fn from_evidence(text: String, source: Source, evidence: Vec<Evidence>) -> Explanation {
    Explanation { text, source, came_to: None, agreement: None, evidence, parts: Vec::new() }
}

/// A step that rests on the steps below it.
pub fn from_parts(text: String, source: Source, parts: Vec<Explanation>) -> Explanation {
    Explanation { text, source, came_to: None, agreement: None, evidence: Vec::new(), parts }
}

/// How far the parts that were put together agree; nothing of a single one.
pub fn agreement(combined: &Combined, parts: usize) -> Option<Agreement> {
    (parts > 1).then(|| Agreement {
        chi_squared: combined.chi_squared,
        freedom: parts as u32 - 1,
        chi_squared_95: combined.chi_squared_95,
        birge_ratio: combined.birge_ratio,
        culprit: combined.outlier.map(|outlier| Culprit { part: outlier.at as u32, deviations: outlier.deviations }),
    })
}

/// That the parts disagree and what was done about it, as a sentence that follows another; empty where they agree.
pub fn say_disagreement(combined: &Combined, parts: usize) -> String {
    let Some(outlier) = combined.outlier else { return String::new() };
    let bounded = if parts >= LEAST_TO_TELL {
        format!(
            " The one farthest off lies {:.1} standard deviations from the others and pulls no harder than at 1.96 of its own.",
            outlier.deviations
        )
    } else {
        String::new()
    };
    format!(
        " They disagree by more than their uncertainties allow (χ² {:.1} with {} degree{} of freedom, 95 % point {:.1}), so all are widened {:.1} times.{bounded}",
        combined.chi_squared,
        parts - 1,
        plural(parts - 1),
        combined.chi_squared_95,
        combined.birge_ratio,
    )
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

/// What a figure rests on, itself and through its parts, each once.
pub fn evidence_of(figure: &Figure) -> Vec<Evidence> {
    let mut found = Vec::new();
    let mut open = vec![&figure.because];
    while let Some(step) = open.pop() {
        for evidence in &step.evidence {
            if !found.contains(evidence) {
                found.push(evidence.clone());
            }
        }
        open.extend(step.parts.iter().rev());
    }
    found
}
