//! The corners: cracks and their extent, hours, fixings.

use super::Problems;
use crate::{
    choice::CornerName,
    corner::{Defect, DefectKind, Face},
    inspection::Inspection,
};

/// More fixings than any bell has.
const MOST_FIXINGS: u8 = 40;

pub fn check(inspection: &Inspection, problems: &mut Problems) {
    for (name, corner) in inspection.corners.iter() {
        let Some(corner) = corner.seen() else { continue };
        let field = format!("corners.{}.seen", field_name(name));
        for (what, face) in [("outer_face", &corner.outer_face), ("inner_face", &corner.inner_face)] {
            if let Some(face) = face.seen() {
                defects(face, &format!("{field}.{what}.seen.defects"), problems);
            }
        }
        if let Some(bell) = corner.bell.seen() {
            let got = bell.fixings.missing_or_loose;
            problems.add_if(got > MOST_FIXINGS, format!("{field}.bell.seen.fixings.missing_or_loose"), || {
                format!("got {got}, expected at most {MOST_FIXINGS}")
            });
        }
    }
}

/// The corner as it is spelt in JSON.
pub fn field_name(corner: CornerName) -> String {
    corner.words().replace(' ', "_")
}

fn defects(face: &Face, field: &str, problems: &mut Problems) {
    for (at, defect) in face.defects.iter().enumerate() {
        one(defect, &format!("{field}[{at}]"), problems);
    }
}

fn one(defect: &Defect, field: &str, problems: &mut Problems) {
    let is_crack = defect.kind == DefectKind::Crack;
    problems.add_if(is_crack && defect.extent.is_none(), format!("{field}.extent"), || {
        "got none, expected how far the crack goes".to_owned()
    });
    problems.add_if(!is_crack && defect.extent.is_some(), format!("{field}.extent"), || {
        format!("got an extent for a {}, expected one for a crack only", defect.kind.words())
    });
    if let Some(hour) = defect.place.hour {
        problems.add_if(!(1..=12).contains(&hour), format!("{field}.place.hour"), || {
            format!("got {hour}, expected 1 to 12")
        });
    }
}
