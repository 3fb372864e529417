//! Wear of a disc's substance: mass, thickness and electrical reading against the disc's own marks.

use model::{CornerName, Disc, Evidence, FaceName, Figure, Inspection, Measurand, Reading, Source};

use super::{Marks, share_used};
use crate::combine::{combine, mean_of_points};
use crate::explain::{Estimate, Notes, agreement, from_parts, from_readings, plural, reading_of, say_disagreement};
use crate::number::percent;

/// The disc's bulk wear, or nothing with the reason in the notes.
pub fn bulk(inspection: &Inspection, corner: CornerName, notes: &mut Notes) -> Option<Figure> {
    let estimates = estimate(inspection.car.disc(corner), corner, &inspection.readings, notes);
    if estimates.is_empty() {
        notes.miss(format!(
            "The wear of the {} disc as a whole: no reading of its mass, thickness or electrical value can be held against its marks.",
            corner.words()
        ));
        return None;
    }
    together(corner, estimates, notes).map(Estimate::into_figure)
}

/// The disc's bulk wear by the readings of an earlier visit.
pub fn bulk_then(inspection: &Inspection, corner: CornerName, readings: &[Reading]) -> Option<Estimate> {
    let mut unsaid = Notes::default();
    together(corner, estimate(inspection.car.disc(corner), corner, readings, &mut unsaid), &mut unsaid)
}

fn estimate(disc: &Disc, corner: CornerName, readings: &[Reading], notes: &mut Notes) -> Vec<Estimate> {
    let grams = model::Gram::value;
    let mass = Kind {
        of: Measurand::DiscMass { corner },
        words: "mass",
        unit: "g",
        digits: 0,
        new: disc.new_mass_g.map(grams),
        least: disc.minimum_mass_g.map(grams),
    };
    let millimetres = model::Millimetre::value;
    let thickness = Kind {
        of: Measurand::DiscThickness { corner },
        words: "thickness",
        unit: "mm",
        digits: 2,
        new: disc.new_thickness_mm.map(millimetres),
        least: disc.minimum_thickness_mm.map(millimetres),
    };
    let mut estimates = mass.estimate(corner, readings, notes);
    estimates.extend(thickness.estimate(corner, readings, notes));
    estimates.extend(electrical(corner, disc, readings, notes));
    estimates
}

/// Readings with one and the same instrument share its error, so that they count as one reading with more points.
/// They stand in the order of their names, whatever order they were taken down in.
fn by_instrument<'a>(readings: impl Iterator<Item = &'a Reading>) -> Vec<Vec<&'a Reading>> {
    let mut sorted: Vec<_> = readings.collect();
    sorted.sort_by(|a, b| a.id.cmp(&b.id));
    let mut groups: Vec<Vec<&Reading>> = Vec::new();
    for reading in sorted {
        let same = |group: &&mut Vec<&Reading>| {
            let (one, other) = (&group[0].instrument, &reading.instrument);
            one.name == other.name && one.serial == other.serial
        };
        match groups.iter_mut().find(same) {
            Some(group) => group.push(reading),
            None => groups.push(vec![reading]),
        }
    }
    groups
}

/// A quantity of the disc that has a mark.
struct Kind {
    of: Measurand,
    words: &'static str,
    unit: &'static str,
    digits: usize,
    new: Option<f64>,
    least: Option<f64>,
}

impl Kind {
    /// Half of the last digit that a maker gives the value with (project assumption: whole grams, tenths of a millimetre).
    fn half_digit(&self) -> f64 {
        if self.unit == "g" { 0.5 } else { 0.05 }
    }

    fn estimate(&self, corner: CornerName, readings: &[Reading], notes: &mut Notes) -> Vec<Estimate> {
        let groups = by_instrument(readings.iter().filter(|reading| reading.of == self.of));
        if groups.is_empty() {
            return Vec::new();
        }
        let (Some(new), Some(least)) = (self.new, self.least) else {
            let unknown = match (self.new, self.least) {
                (Some(_), None) => "its least value is not known",
                (None, Some(_)) => {
                    "its value when new is not known, so that it can only be held against the mark, without a share"
                }
                _ => "neither its value when new nor its least value is known",
            };
            notes.miss(format!("The {} disc's {} was measured, but {unknown}.", corner.words(), self.words));
            return Vec::new();
        };
        groups.iter().filter_map(|readings| self.one(corner, readings, (new, least), notes)).collect()
    }

    fn one(
        &self,
        corner: CornerName,
        readings: &[&Reading],
        (new, least): (f64, f64),
        notes: &mut Notes,
    ) -> Option<Estimate> {
        let points: Vec<_> = readings.iter().flat_map(|reading| reading.base_values()).collect();
        let instrument = readings.iter().map(|reading| reading.base_uncertainty()).fold(0.0, f64::max);
        let (mean, spread) = mean_of_points(&points, instrument);
        let marks = Marks { new, new_half_width: self.half_digit(), limit: least };
        let (value, uncertainty) = share_used(marks, mean, spread)?;
        let (words, unit, digits) = (self.words, self.unit, self.digits);
        if mean - new > 3.0 * spread {
            let mut evidence: Vec<_> = readings.iter().map(|reading| reading_of(reading)).collect();
            evidence.push(Evidence::Mark { corner });
            notes.remark(
                format!(
                    "The {} disc's {words} reads {mean:.digits$} {unit}, above its value when new of {new:.digits$} {unit} by more than the reading is unsure: the value when new may belong to another disc.",
                    corner.words()
                ),
                evidence,
            );
        }
        let text = format!(
            "{words} {mean:.digits$} ± {spread:.spread_digits$} {unit}, {} point{} with {}; new {new:.digits$}, marked least {least:.digits$} {unit}: {} % of the allowance used.",
            points.len(),
            plural(points.len()),
            readings[0].instrument.name,
            percent(value, uncertainty),
            spread_digits = digits.max(1),
        );
        Some(Estimate { value, uncertainty, because: from_readings(readings, text, Source::PartMark) })
    }
}

/// How many points without a mark are named before the rest is counted.
const MOST_NAMED: usize = 8;

/// How far the way from new to the limit may be from straight, at its middle, as a share (project assumption).
const BENT_BY: f64 = 0.05;

/// An electrical reading: each marked point against its own limit, then their mean.
fn electrical(corner: CornerName, disc: &Disc, readings: &[Reading], notes: &mut Notes) -> Vec<Estimate> {
    let is_of_face = |of| FaceName::ALL.iter().any(|&face| of == Measurand::Electrical { corner, face });
    by_instrument(readings.iter().filter(|reading| is_of_face(reading.of)))
        .iter()
        .filter_map(|readings| {
            let mut shares = Vec::new();
            let mut unmarked: Vec<String> = Vec::new();
            for reading in readings {
                for (point, value) in reading.points.iter().zip(reading.base_values()) {
                    let at = format!("{} in {}", point.at, reading.unit.symbol());
                    match electrical_share(disc, reading, &point.at, value) {
                        Some(share) => shares.push(share),
                        None if unmarked.contains(&at) => {}
                        None => unmarked.push(at),
                    }
                }
            }
            if !unmarked.is_empty() {
                let rest = unmarked.len().saturating_sub(MOST_NAMED);
                unmarked.truncate(MOST_NAMED);
                let more = if rest == 0 { String::new() } else { format!(" and {rest} more") };
                notes.miss(format!(
                    "The {} disc's electrical reading: the disc has no mark at {}{more}.",
                    corner.words(),
                    unmarked.join(", ")
                ));
            }
            if shares.is_empty() {
                return None;
            }
            let instrument = shares.iter().map(|share| share.1).fold(0.0, f64::max);
            let values: Vec<_> = shares.iter().map(|share| share.0).collect();
            let (value, measured) = mean_of_points(&values, instrument);
            let bent = 4.0 * BENT_BY * (value * (1.0 - value)).max(0.0);
            let uncertainty = libm::hypot(measured, bent);
            let text = format!(
                "electrical reading at {} marked point{} with {}: {} % of the way from new to the marked limit. That the way is straight, within 5 % at its middle, is an assumption of this method.",
                values.len(),
                plural(values.len()),
                readings[0].instrument.name,
                percent(value, uncertainty)
            );
            Some(Estimate { value, uncertainty, because: from_readings(readings, text, Source::ProjectAssumption) })
        })
        .collect()
}

fn electrical_share(disc: &Disc, reading: &Reading, at: &model::Line, value: f64) -> Option<(f64, f64)> {
    let (base, _) = reading.unit.to_base();
    let mark = disc.electrical.iter().find(|mark| &mark.at == at && mark.unit.to_base().0 == base)?;
    let (_, scale) = mark.unit.to_base();
    let marks = Marks { new: mark.new * scale, new_half_width: 0.0, limit: mark.limit * scale };
    share_used(marks, value, reading.base_uncertainty())
}

fn together(corner: CornerName, estimates: Vec<Estimate>, notes: &mut Notes) -> Option<Estimate> {
    let pairs: Vec<_> = estimates.iter().map(|estimate| (estimate.value, estimate.uncertainty)).collect();
    let combined = combine(&pairs)?;
    let mut text = format!(
        "Wear of the whole disc from {} measurement{}, weighted by certainty: {} %.",
        pairs.len(),
        plural(pairs.len()),
        percent(combined.value, combined.uncertainty)
    );
    text += &say_disagreement(&combined, pairs.len());
    if let Some(outlier) = combined.outlier {
        notes.remark(
            format!(
                "The readings of the {} disc disagree; farthest off, by {:.1} standard deviations, is this: {}",
                corner.words(),
                outlier.deviations,
                estimates[outlier.at].because.text
            ),
            estimates.iter().flat_map(|estimate| estimate.because.evidence.clone()).collect(),
        );
    }
    let agreement = agreement(&combined, pairs.len());
    let parts = estimates.into_iter().map(Estimate::into_step).collect();
    let because = model::Explanation { agreement, ..from_parts(text, Source::Arithmetic, parts) };
    Some(Estimate { value: combined.value, uncertainty: combined.uncertainty, because })
}
