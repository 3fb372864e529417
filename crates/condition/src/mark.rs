//! The parts' own marks: which readings lie beyond them. What has no value when new can still be held against its mark.

use model::{CornerName, Disc, FaceName, Inspection, Measurand, PadName, Reading, WearLead};

use crate::chance::HALF_WIDTH_95;
use crate::number::beside;
use crate::renewal::seen_pad;

/// Where the maker's renewal mark of a lining is not known: common practice says 2 to 3 mm, no source. The careful end.
const RULE_OF_THUMB_LINING_MM: f64 = 3.0;

/// A reading of a disc beyond the disc's own mark.
pub struct Beyond<'a> {
    /// The reading.
    pub reading: &'a Reading,
    /// The sentence that says so.
    pub text: String,
    /// Whether it tells of wear; runout and thickness variation tell of shape.
    pub is_wear: bool,
}

/// Every reading of this corner's disc that lies beyond the disc's own marks.
pub fn list_beyond(inspection: &Inspection, corner: CornerName) -> Vec<Beyond<'_>> {
    let disc = inspection.car.disc(corner);
    let mut beyond: Vec<_> = least_values(disc, corner)
        .into_iter()
        .flat_map(|least| inspection.readings_of(least.of).filter_map(move |reading| least.undercut(corner, reading)))
        .collect();
    beyond.extend(FaceName::ALL.iter().flat_map(|&face| {
        inspection
            .readings_of(Measurand::Electrical { corner, face })
            .filter_map(move |reading| electrical_beyond(disc, corner, face, reading))
    }));
    beyond.extend(shape_beyond(inspection, disc, corner));
    beyond
}

/// Whether any reading says by the disc's own mark that it is worn out.
pub fn is_worn_out(inspection: &Inspection, corner: CornerName) -> bool {
    list_beyond(inspection, corner).iter().any(|beyond| beyond.is_wear)
}

/// A lining's mark, and whether it is the maker's or only the rule of thumb.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LiningMark {
    /// The thickness at which the pad is renewed.
    pub mm: f64,
    /// Whether the maker gave it.
    pub is_makers: bool,
}

/// The mark of the linings on this corner's axle.
pub fn lining_mark(inspection: &Inspection, corner: CornerName) -> LiningMark {
    match inspection.car.pads(corner.axle()).renewal_mark_mm {
        Some(mark) => LiningMark { mm: mark.value(), is_makers: true },
        None => LiningMark { mm: RULE_OF_THUMB_LINING_MM, is_makers: false },
    }
}

/// The reading of this lining that is the thinnest anywhere, with that thickness in millimetres; none when unmeasured.
pub fn find_thinnest(inspection: &Inspection, corner: CornerName, pad: PadName) -> Option<(&Reading, f64)> {
    thinnest_of(inspection.readings_of(Measurand::Lining { corner, pad }))
}

/// The reading with the least value anywhere; of two alike the one whose name comes first.
pub fn thinnest_of<'a>(readings: impl Iterator<Item = &'a Reading>) -> Option<(&'a Reading, f64)> {
    readings
        .map(|reading| (reading, least(reading)))
        .min_by(|a, b| a.1.total_cmp(&b.1).then_with(|| a.0.id.cmp(&b.0.id)))
}

/// How it is known that a lining is used up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum UsedUp {
    /// At its thinnest it measures the mark or less.
    Measured,
    /// It was not measured, and its wear lead is worn through, which the lining does when it is at the maker's mark
    /// (common practice, no source).
    WearLead,
}

/// How it is known that this lining is used up; nothing where it is not, or where nothing tells.
pub fn find_used_up(inspection: &Inspection, corner: CornerName, pad: PadName) -> Option<UsedUp> {
    match find_thinnest(inspection, corner, pad) {
        Some((_, mm)) => (mm <= lining_mark(inspection, corner).mm).then_some(UsedUp::Measured),
        None => is_lead_worn_through(inspection, corner, pad).then_some(UsedUp::WearLead),
    }
}

/// Whether the wear lead of this pad was seen worn through.
pub fn is_lead_worn_through(inspection: &Inspection, corner: CornerName, pad: PadName) -> bool {
    let seen = inspection.corners.at(corner).seen().and_then(|seen| seen_pad(seen, pad));
    seen.is_some_and(|pad| pad.lead == Some(WearLead::WornThrough))
}

fn least(reading: &Reading) -> f64 {
    reading.base_values().fold(f64::INFINITY, f64::min)
}

fn greatest(reading: &Reading) -> f64 {
    reading.base_values().fold(f64::NEG_INFINITY, f64::max)
}

/// Where value and mark lie closer together than the reading is sure: said, not decided.
fn doubt(value: f64, mark: f64, reading: &Reading) -> &'static str {
    if (value - mark).abs() < HALF_WIDTH_95 * reading.base_uncertainty() {
        " (by less than the reading is sure)"
    } else {
        ""
    }
}

struct LeastValue {
    of: Measurand,
    mark: f64,
    words: &'static str,
    unit: &'static str,
    digits: usize,
}

fn least_values(disc: &Disc, corner: CornerName) -> Vec<LeastValue> {
    let mass = disc.minimum_mass_g.map(|mark| LeastValue {
        of: Measurand::DiscMass { corner },
        mark: mark.value(),
        words: "mass",
        unit: "g",
        digits: 0,
    });
    let thickness = disc.minimum_thickness_mm.map(|mark| LeastValue {
        of: Measurand::DiscThickness { corner },
        mark: mark.value(),
        words: "thickness",
        unit: "mm",
        digits: 2,
    });
    mass.into_iter().chain(thickness).collect()
}

impl LeastValue {
    fn undercut<'a>(&self, corner: CornerName, reading: &'a Reading) -> Option<Beyond<'a>> {
        let (value, mark) = (least(reading), self.mark);
        let (words, unit, digits) = (self.words, self.unit, self.digits);
        (value < mark).then(|| Beyond {
            reading,
            text: format!(
                "The {} disc's {words} is {} {unit}, under its own mark of {mark:.digits$} {unit}{}.",
                corner.words(),
                beside(value, mark, digits),
                doubt(value, mark, reading)
            ),
            is_wear: true,
        })
    }
}

/// The first marked point whose reading lies beyond its limit, on the side away from the new value.
fn electrical_beyond<'a>(disc: &Disc, corner: CornerName, face: FaceName, reading: &'a Reading) -> Option<Beyond<'a>> {
    let (base, _) = reading.unit.to_base();
    let (at, value, limit) = reading.points.iter().zip(reading.base_values()).find_map(|(point, value)| {
        let mark = disc.electrical.iter().find(|mark| mark.at == point.at && mark.unit.to_base().0 == base)?;
        let (_, scale) = mark.unit.to_base();
        let (new, limit) = (mark.new * scale, mark.limit * scale);
        let is_beyond = if new > limit { value < limit } else { value > limit };
        is_beyond.then_some((&point.at, value, limit))
    })?;
    Some(Beyond {
        reading,
        text: format!(
            "The {} disc's electrical reading at {at} ({} face) is {} {unit}, beyond its own limit of {limit:.1} {unit}{}.",
            corner.words(),
            face.words(),
            beside(value, limit, 1),
            doubt(value, limit, reading),
            unit = base.symbol()
        ),
        is_wear: true,
    })
}

fn shape_beyond<'a>(inspection: &'a Inspection, disc: &Disc, corner: CornerName) -> Vec<Beyond<'a>> {
    let runout = FaceName::ALL.iter().map(|&face| (Measurand::Runout { corner, face }, disc.most_runout_mm));
    let variation = (Measurand::ThicknessVariation { corner }, disc.most_thickness_variation_mm);
    let mut beyond = Vec::new();
    for (of, mark) in runout.chain([variation]) {
        let Some(mark) = mark.map(model::Millimetre::value) else { continue };
        for reading in inspection.readings_of(of).filter(|reading| greatest(reading) > mark) {
            let value = greatest(reading);
            let text = format!(
                "The {} disc's {} is {} mm, beyond the {mark:.3} mm allowed{}.",
                corner.words(),
                of.words(),
                beside(value, mark, 3),
                doubt(value, mark, reading)
            );
            beyond.push(Beyond { reading, text, is_wear: false });
        }
    }
    beyond
}
