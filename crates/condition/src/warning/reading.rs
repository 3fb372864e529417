//! Readings beyond a mark, linings under a legal minimum.

use model::{CornerName, DriveWarning, Evidence, FaceName, Inspection, Measurand, PadName, Reading, Source};

use crate::explain::published;

/// Under this a lining fails a British roadworthiness test.
const LEGAL_LINING_MM: f64 = 1.5;
/// A thirty-second of an inch.
const LEAST_LINING_MM: f64 = 25.4 / 32.0;

pub fn list(inspection: &Inspection) -> Vec<DriveWarning> {
    let mut warnings = Vec::new();
    for &corner in CornerName::ALL {
        for &pad in PadName::ALL {
            let readings = inspection.readings_of(Measurand::Lining { corner, pad });
            warnings.extend(readings.filter_map(|reading| lining(inspection, corner, pad, reading)));
        }
        warnings.extend(beyond_marks(inspection, corner));
    }
    warnings
}

fn least(reading: &Reading) -> f64 {
    reading.base_values().fold(f64::INFINITY, f64::min)
}

fn greatest(reading: &Reading) -> f64 {
    reading.base_values().fold(f64::NEG_INFINITY, f64::max)
}

fn lining(inspection: &Inspection, corner: CornerName, pad: PadName, reading: &Reading) -> Option<DriveWarning> {
    let thinnest = least(reading);
    let what = format!("The {} {} pad's lining is {thinnest:.1} mm at its thinnest", corner.words(), pad.words());
    let (do_not_drive, text, source) = if thinnest < LEAST_LINING_MM {
        let document = "49 CFR 570.5 (vehicles up to 10 000 lb): 1/32 in; from memory";
        (true, format!("{what}, under 1/32 in (0.8 mm)."), published(document))
    } else if thinnest < LEGAL_LINING_MM {
        let document = "UK MOT inspection manual 2012 §3.5: under 1.5 mm fails; second-hand";
        (true, format!("{what}, under 1.5 mm."), published(document))
    } else {
        let mark = inspection.car.pads(corner.axle()).renewal_mark_mm?.value();
        if thinnest >= mark {
            return None;
        }
        (false, format!("{what}, under the maker's renewal mark of {mark:.1} mm."), Source::PartMark)
    };
    Some(DriveWarning { do_not_drive, text, source, evidence: vec![Evidence::Reading { id: reading.id.clone() }] })
}

fn beyond_marks(inspection: &Inspection, corner: CornerName) -> Vec<DriveWarning> {
    let disc = inspection.car.disc(corner);
    let mut warnings = Vec::new();
    let mut warn = |do_not_drive: bool, reading: &Reading, text: String| {
        let evidence = vec![Evidence::Reading { id: reading.id.clone() }, Evidence::Mark { corner }];
        warnings.push(DriveWarning { do_not_drive, text, source: Source::PartMark, evidence });
    };
    let name = corner.words();
    let least_allowed = [
        (Measurand::DiscMass { corner }, disc.minimum_mass_g.map(model::Gram::value), "mass", "g", 0),
        (
            Measurand::DiscThickness { corner },
            disc.minimum_thickness_mm.map(model::Millimetre::value),
            "thickness",
            "mm",
            2,
        ),
    ];
    for (of, mark, what, unit, digits) in least_allowed {
        let Some(mark) = mark else { continue };
        for reading in inspection.readings_of(of).filter(|reading| least(reading) < mark) {
            let got = least(reading);
            let text = format!(
                "The {name} disc's {what} is {got:.digits$} {unit}, under its own mark of {mark:.digits$} {unit}."
            );
            warn(true, reading, text);
        }
    }
    for &face in FaceName::ALL {
        for reading in inspection.readings_of(Measurand::Electrical { corner, face }) {
            if let Some((at, value, limit)) = electrical_beyond(disc, reading) {
                let unit = reading.unit.to_base().0.symbol();
                let text = format!(
                    "The {name} disc's electrical reading at {at} is {value:.1} {unit}, beyond its own limit of {limit:.1} {unit}."
                );
                warn(true, reading, text);
            }
        }
    }
    let runout = FaceName::ALL.iter().map(|&face| Measurand::Runout { corner, face });
    let variation = Measurand::ThicknessVariation { corner };
    let most_allowed =
        runout.map(|of| (of, disc.most_runout_mm)).chain([(variation, disc.most_thickness_variation_mm)]);
    for (of, mark) in most_allowed {
        let Some(mark) = mark.map(model::Millimetre::value) else { continue };
        for reading in inspection.readings_of(of).filter(|reading| greatest(reading) > mark) {
            let (got, what) = (greatest(reading), of.words());
            warn(false, reading, format!("The {name} disc's {what} is {got:.3} mm, beyond the {mark:.3} mm allowed."));
        }
    }
    warnings
}

/// The first marked point whose reading lies beyond its limit, on the side away from the new value.
fn electrical_beyond(disc: &model::Disc, reading: &Reading) -> Option<(String, f64, f64)> {
    let (base, _) = reading.unit.to_base();
    reading.points.iter().zip(reading.base_values()).find_map(|(point, value)| {
        let mark = disc.electrical.iter().find(|mark| mark.at == point.at && mark.unit.to_base().0 == base)?;
        let (_, scale) = mark.unit.to_base();
        let (new, limit) = (mark.new * scale, mark.limit * scale);
        let beyond = if new > limit { value < limit } else { value > limit };
        beyond.then(|| (point.at.to_string(), value, limit))
    })
}
