//! What was seen or felt: cracks, fixings, callipers, pads, no bite.

use model::{
    CalliperState, Corner, CornerName, CrackExtent, DefectKind, DriveWarning, Evidence, FaceName, Felt, Inspection,
    PadName, Source,
};

use crate::explain::reading_of;
use crate::mark::{UsedUp, find_thinnest, find_used_up, is_lead_worn_through};
use crate::renewal::{crumbles, goes_too_far, seen_pad};

pub fn list(inspection: &Inspection) -> Vec<DriveWarning> {
    let mut warnings = Vec::new();
    for (name, corner) in inspection.corners.iter() {
        let Some(corner) = corner.seen() else { continue };
        warnings.extend(cracks(name, corner));
        warnings.extend(fixings(name, corner));
        warnings.extend(calliper(name, corner));
        for &pad in PadName::ALL {
            warnings.extend(wear_lead(inspection, name, pad));
            warnings.extend(crumbling(name, pad, corner));
        }
    }
    warnings.extend(bite(inspection));
    warnings
}

fn cracks(name: CornerName, corner: &Corner) -> Vec<DriveWarning> {
    let faces = [(FaceName::Outer, corner.outer_face.seen()), (FaceName::Inner, corner.inner_face.seen())];
    let mut warnings = Vec::new();
    for (face, seen) in faces {
        let cracks = seen.into_iter().flat_map(|seen| &seen.defects).filter(|defect| defect.kind == DefectKind::Crack);
        for crack in cracks {
            let (do_not_drive, text) = match crack.extent {
                Some(extent) if goes_too_far(extent) => {
                    (true, format!("The {} disc is cracked {} ({} face).", name.words(), extent.words(), face.words()))
                }
                Some(CrackExtent::FromHole) => (
                    false,
                    format!(
                        "The {} disc is cracked from a hole ({} face): have it seen to before the car is driven far.",
                        name.words(),
                        face.words()
                    ),
                ),
                _ => continue,
            };
            let evidence = vec![Evidence::Face { corner: name, face }];
            warnings.push(DriveWarning { do_not_drive, text, source: Source::CommonPractice, evidence });
        }
        if seen.is_some_and(|seen| seen.defects.iter().any(|defect| defect.kind == DefectKind::Spalling)) {
            warnings.push(DriveWarning {
                do_not_drive: false,
                text: format!(
                    "Material has flaked off the {} disc's {} face: have it seen to before the car is driven far.",
                    name.words(),
                    face.words()
                ),
                source: Source::CommonPractice,
                evidence: vec![Evidence::Face { corner: name, face }],
            });
        }
    }
    warnings
}

fn fixings(name: CornerName, corner: &Corner) -> Option<DriveWarning> {
    let count = corner.bell.seen()?.fixings.missing_or_loose;
    (count > 0).then(|| DriveWarning {
        do_not_drive: true,
        text: format!(
            "{count} fixing{} between bell and ring of the {} disc {} missing or loose.",
            if count == 1 { "" } else { "s" },
            name.words(),
            if count == 1 { "is" } else { "are" }
        ),
        source: Source::CommonPractice,
        evidence: vec![Evidence::Bell { corner: name }],
    })
}

fn calliper(name: CornerName, corner: &Corner) -> Option<DriveWarning> {
    let (do_not_drive, what) = match corner.calliper.seen()?.state {
        CalliperState::Free => return None,
        CalliperState::Drags => {
            (false, "drags: have it seen to before the car is driven far, since it heats disc and fluid")
        }
        CalliperState::Seized => (true, "is seized"),
        CalliperState::Leaking => (true, "leaks brake fluid"),
    };
    Some(DriveWarning {
        do_not_drive,
        text: format!("The {} calliper {what}.", name.words()),
        source: Source::CommonPractice,
        evidence: vec![Evidence::Calliper { corner: name }],
    })
}

fn wear_lead(inspection: &Inspection, name: CornerName, pad: PadName) -> Option<DriveWarning> {
    let measured = find_thinnest(inspection, name, pad);
    let is_used_up = find_used_up(inspection, name, pad) == Some(UsedUp::Measured);
    // Of a lining that measures its mark or less the reading speaks.
    if is_used_up || !is_lead_worn_through(inspection, name, pad) {
        return None;
    }
    let what = format!("The {} {} pad's wear lead is worn through", name.words(), pad.words());
    let text = match measured {
        Some((_, mm)) => {
            format!("{what}, yet its lining measures {mm:.1} mm: have the lead renewed and the pad looked at.")
        }
        None => format!("{what} and its lining was not measured: it counts as used up until it is."),
    };
    let mut evidence = vec![Evidence::Pad { corner: name, pad }];
    evidence.extend(measured.map(|(reading, _)| reading_of(reading)));
    Some(DriveWarning { do_not_drive: false, text, source: Source::CommonPractice, evidence })
}

fn crumbling(name: CornerName, which: PadName, corner: &Corner) -> Option<DriveWarning> {
    crumbles(seen_pad(corner, which)?).then(|| DriveWarning {
        do_not_drive: false,
        text: format!(
            "The {} {} pad's lining crumbles: have it seen to before the car is driven far.",
            name.words(),
            which.words()
        ),
        source: Source::CommonPractice,
        evidence: vec![Evidence::Pad { corner: name, pad: which }],
    })
}

fn bite(inspection: &Inspection) -> Option<DriveWarning> {
    let steps = &inspection.road_test.seen()?.steps;
    let index = steps.iter().position(|step| step.felt.contains(&Felt::NoBite))?;
    Some(DriveWarning {
        do_not_drive: true,
        text: format!("The brakes did not bite ({}).", steps[index].kind.words()),
        source: Source::CommonPractice,
        evidence: vec![Evidence::RoadTestStep { index: index as u32 }],
    })
}
