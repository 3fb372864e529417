//! Readings beyond a mark, linings under a legal minimum.

use model::{CornerName, DriveWarning, Evidence, Inspection, PadName, Source};

use crate::explain::{published, reading_of};
use crate::mark::{find_thinnest, lining_mark, list_beyond};
use crate::number::beside;
use crate::renewal::seen_pad;

/// Under this a lining fails a British roadworthiness test.
const LEGAL_LINING_MM: f64 = 1.5;
/// A thirty-second of an inch.
const LEAST_LINING_MM: f64 = 25.4 / 32.0;

pub fn list(inspection: &Inspection) -> Vec<DriveWarning> {
    let mut warnings = Vec::new();
    for &corner in CornerName::ALL {
        warnings.extend(PadName::ALL.iter().filter_map(|&pad| lining(inspection, corner, pad)));
        warnings.extend(PadName::ALL.iter().filter_map(|&pad| tapered(inspection, corner, pad)));
        warnings.extend(list_beyond(inspection, corner).into_iter().map(|beyond| DriveWarning {
            do_not_drive: beyond.is_wear,
            text: beyond.text,
            source: Source::PartMark,
            evidence: vec![reading_of(beyond.reading), Evidence::Mark { corner }],
        }));
    }
    warnings
}

/// A lining measured at one place only, whose other end may by its taper be under the least that the law takes.
fn tapered(inspection: &Inspection, corner: CornerName, pad: PadName) -> Option<DriveWarning> {
    let (reading, measured) = find_thinnest(inspection, corner, pad)?;
    let seen = seen_pad(inspection.corners.at(corner).seen()?, pad)?;
    let taper = seen.taper_mm?.value();
    let thin_end = (measured - taper).max(0.0);
    let is_met = reading.points.len() == 1 && taper > 0.0 && measured >= LEGAL_LINING_MM && thin_end < LEGAL_LINING_MM;
    is_met.then(|| DriveWarning {
        do_not_drive: true,
        text: format!(
            "The {} {} pad's lining measures {measured:.1} mm at one place and is tapered by {taper:.1} mm: its thin end may be {} mm, under 1.5 mm.",
            corner.words(),
            pad.words(),
            beside(thin_end, LEGAL_LINING_MM, 1)
        ),
        source: published(MOT_LINING),
        evidence: vec![reading_of(reading), Evidence::Pad { corner, pad }],
    })
}

const MOT_LINING: &str = "UK MOT inspection manual 2012 §3.5: under 1.5 mm fails; not checked at the source";

fn lining(inspection: &Inspection, corner: CornerName, pad: PadName) -> Option<DriveWarning> {
    let (reading, thinnest) = find_thinnest(inspection, corner, pad)?;
    let what = |limit: f64| {
        let (corner, pad, value) = (corner.words(), pad.words(), beside(thinnest, limit, 1));
        format!("The {corner} {pad} pad's lining is {value} mm at its thinnest")
    };
    let (do_not_drive, text, source) = if thinnest < LEAST_LINING_MM {
        let document = "49 CFR 570.5 (vehicles up to 10 000 lb): 1/32 in; not checked at the source";
        (true, format!("{}, under 1/32 in (0.79 mm).", what(LEAST_LINING_MM)), published(document))
    } else if thinnest < LEGAL_LINING_MM {
        (true, format!("{}, under 1.5 mm.", what(LEGAL_LINING_MM)), published(MOT_LINING))
    } else {
        let mark = lining_mark(inspection, corner);
        if thinnest >= mark.mm {
            return None;
        }
        let what = what(mark.mm);
        if mark.is_makers {
            (false, format!("{what}, under the maker's renewal mark of {:.1} mm.", mark.mm), Source::PartMark)
        } else {
            let text = format!(
                "{what}, under {:.1} mm, a rule of thumb for renewal; the maker's own mark is not known here.",
                mark.mm
            );
            (false, text, Source::CommonPractice)
        }
    };
    Some(DriveWarning { do_not_drive, text, source, evidence: vec![reading_of(reading)] })
}
