//! Names: each once, and none that leads nowhere.

use std::collections::BTreeSet;

use super::{Problems, corner::field_name};
use crate::{id::Label, inspection::Inspection};

pub fn check(inspection: &Inspection, problems: &mut Problems) {
    let readings = inspection.readings.iter().map(|reading| &reading.id);
    let photographs = || inspection.photographs.iter().map(|photograph| &photograph.id);
    let recordings = || inspection.recordings.iter().map(|recording| &recording.id);
    once("readings", readings, problems);
    once("photographs", photographs(), problems);
    once("recordings", recordings(), problems);

    let known: BTreeSet<_> = photographs().collect();
    let mut photograph = |field: String, id: &Label| {
        problems.add_if(!known.contains(id), field, || {
            format!("got {id:?}, expected the id of a photograph in this inspection", id = id.as_str())
        });
    };
    let car = &inspection.car;
    for (field, id) in [
        ("car.vin_photograph", &car.vin_photograph),
        ("car.registration_photograph", &car.registration_photograph),
        ("car.odometer_photograph", &car.odometer_photograph),
    ] {
        if let Some(id) = id {
            photograph(field.to_owned(), id);
        }
    }
    for (name, corner) in inspection.corners.iter() {
        let Some(corner) = corner.seen() else { continue };
        for (what, face) in [("outer_face", &corner.outer_face), ("inner_face", &corner.inner_face)] {
            for (at, defect) in face.seen().into_iter().flat_map(|face| &face.defects).enumerate() {
                for id in &defect.photographs {
                    photograph(format!("corners.{}.seen.{what}.seen.defects[{at}].photographs", field_name(name)), id);
                }
            }
        }
    }
    let known: BTreeSet<_> = recordings().collect();
    let test = || inspection.road_test.seen().into_iter();
    let steps = test().flat_map(|test| &test.steps).map(|step| &step.recordings).enumerate();
    let drives = test().flat_map(|test| &test.drives).map(|drive| &drive.recordings).enumerate();
    let named = steps.map(|(at, ids)| ("steps", at, ids)).chain(drives.map(|(at, ids)| ("drives", at, ids)));
    for (list, at, ids) in named {
        for id in ids {
            problems.add_if(!known.contains(id), format!("road_test.seen.{list}[{at}].recordings"), || {
                format!("got {:?}, expected the id of a recording in this inspection", id.as_str())
            });
        }
    }
}

fn once<'a>(list: &str, ids: impl Iterator<Item = &'a Label>, problems: &mut Problems) {
    let mut seen = BTreeSet::new();
    for (at, id) in ids.enumerate() {
        problems.add_if(!seen.insert(id), format!("{list}[{at}].id"), || {
            format!("got {:?} a second time, expected each id once", id.as_str())
        });
    }
}
