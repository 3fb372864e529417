//! Wear of a disc's substance: mass, thickness and electrical reading against the disc's own marks.

use model::{CornerName, Disc, FaceName, Figure, Inspection, Measurand, Reading, Source};

use super::share_used;
use crate::combine::{combine, mean_of_points};
use crate::explain::{Estimate, from_parts, from_reading};

/// The disc's bulk wear, or nothing with the reason in `missing`.
pub fn bulk(inspection: &Inspection, corner: CornerName, missing: &mut Vec<String>) -> Option<Figure> {
    let disc = inspection.car.disc(corner);
    let mut estimates = Vec::new();
    let mass = Kind { of: Measurand::DiscMass { corner }, name: "mass", unit: "g", digits: 0 };
    let marks = (disc.new_mass_g.map(model::Gram::value), disc.minimum_mass_g.map(model::Gram::value));
    estimates.extend(mass.against_marks(inspection, marks, missing));
    let thickness = Kind { of: Measurand::DiscThickness { corner }, name: "thickness", unit: "mm", digits: 2 };
    let millimetres = model::Millimetre::value;
    let marks = (disc.new_thickness_mm.map(millimetres), disc.minimum_thickness_mm.map(millimetres));
    estimates.extend(thickness.against_marks(inspection, marks, missing));
    for &face in FaceName::ALL {
        for reading in inspection.readings_of(Measurand::Electrical { corner, face }) {
            estimates.extend(electrical(disc, reading));
        }
    }
    if estimates.is_empty() {
        missing.push(format!(
            "The {} disc's bulk wear: no reading of its mass, thickness or electrical value can be held against its marks.",
            corner.words()
        ));
        return None;
    }
    together(estimates).map(Estimate::into_figure)
}

struct Kind {
    of: Measurand,
    name: &'static str,
    unit: &'static str,
    digits: usize,
}

impl Kind {
    fn against_marks(
        &self,
        inspection: &Inspection,
        (new, least): (Option<f64>, Option<f64>),
        missing: &mut Vec<String>,
    ) -> Vec<Estimate> {
        let readings: Vec<_> = inspection.readings_of(self.of).collect();
        if readings.is_empty() {
            return Vec::new();
        }
        let (Some(new), Some(least)) = (new, least) else {
            let which =
                if least.is_none() { "least value is not legible or not given" } else { "value when new is not known" };
            missing.push(format!("{} was measured, but the disc's {which}, so no wear follows from it.", self.name));
            return Vec::new();
        };
        readings.into_iter().filter_map(|reading| self.one(reading, new, least)).collect()
    }

    fn one(&self, reading: &Reading, new: f64, least: f64) -> Option<Estimate> {
        let points: Vec<_> = reading.base_values().collect();
        let (mean, spread) = mean_of_points(&points, reading.base_uncertainty());
        let (value, uncertainty) = share_used(new, least, mean, spread)?;
        let (name, unit, digits) = (self.name, self.unit, self.digits);
        let (used, sure) = (value * 100.0, uncertainty * 100.0);
        let text = format!(
            "{name} {mean:.digits$} ± {spread:.spread_digits$} {unit} ({}); new {new:.digits$}, marked least {least:.digits$} {unit}: {used:.0} ± {sure:.0} % of the allowance used.",
            reading.instrument.name,
            spread_digits = digits.max(1),
        );
        Some(Estimate { value, uncertainty, because: from_reading(reading, text, Source::PartMark) })
    }
}

/// An electrical reading: each marked point against its own limit, then their mean.
fn electrical(disc: &Disc, reading: &Reading) -> Option<Estimate> {
    let factor = |unit: model::Unit| unit.to_base();
    let shares: Vec<_> = reading
        .points
        .iter()
        .zip(reading.base_values())
        .filter_map(|(point, value)| {
            let mark = disc
                .electrical
                .iter()
                .find(|mark| mark.at == point.at && factor(mark.unit).0 == factor(reading.unit).0)?;
            let (_, scale) = factor(mark.unit);
            share_used(mark.new * scale, mark.limit * scale, value, reading.base_uncertainty())
        })
        .collect();
    let instrument = shares.iter().map(|share| share.1).fold(0.0, f64::max);
    if shares.is_empty() {
        return None;
    }
    let values: Vec<_> = shares.iter().map(|share| share.0).collect();
    let (value, uncertainty) = mean_of_points(&values, instrument);
    let text = format!(
        "electrical reading at {} marked point{} ({}): {:.0} ± {:.0} % of the way from new to the marked limit. That the way is straight is the project's assumption.",
        values.len(),
        if values.len() == 1 { "" } else { "s" },
        reading.instrument.name,
        value * 100.0,
        uncertainty * 100.0
    );
    Some(Estimate { value, uncertainty, because: from_reading(reading, text, Source::ProjectAssumption) })
}

fn together(estimates: Vec<Estimate>) -> Option<Estimate> {
    let pairs: Vec<_> = estimates.iter().map(|estimate| (estimate.value, estimate.uncertainty)).collect();
    let combined = combine(&pairs)?;
    let mut text = format!(
        "Bulk wear from {} kind{} of reading, weighted by certainty: {:.0} ± {:.0} %.",
        pairs.len(),
        if pairs.len() == 1 { "" } else { "s" },
        combined.value * 100.0,
        combined.uncertainty * 100.0
    );
    if let Some((at, distance)) = combined.culprit {
        text += &format!(
            " They disagree more than their uncertainties allow (χ² {:.1}), so the result is widened by {:.1}; farthest off, by {distance:.1} standard deviations: {}",
            combined.chi_squared, combined.birge_ratio, estimates[at].because.text
        );
    }
    let parts = estimates.into_iter().map(|estimate| estimate.because).collect();
    let source = Source::Arithmetic;
    Some(Estimate {
        value: combined.value,
        uncertainty: combined.uncertainty,
        because: from_parts(text, source, parts),
    })
}
