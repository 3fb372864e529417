//! The photographs of a visit, drawn from the truth of its state.

use model::{CornerName, FaceName, HowSeen, PadName, PhotographSubject, PhotographTaken, Timestamp};
use rayon::prelude::*;
use serde_json::{Value, json};
use sha2::{Digest as _, Sha256};

use super::{Visit, car, findings::photograph, state::CornerState};
use crate::photograph::{CameraFileError, Held, Place, Shot, ShotKind, Signs, encode};

/// A drawn photograph with its place in the inspection.
#[derive(Debug, Clone)]
pub struct DrawnPhotograph {
    /// Its name in the inspection.
    pub id: String,
    /// What it shows.
    pub subject: PhotographSubject,
    /// What the camera's clock said.
    pub taken_at: Timestamp,
    /// The camera's file.
    pub bytes: Vec<u8>,
}

impl DrawnPhotograph {
    /// The photograph as an entry of an inspection's `photographs`.
    pub fn entry(&self) -> Value {
        let digest: String = Sha256::digest(&self.bytes).iter().map(|byte| format!("{byte:02x}")).collect();
        json!({
            "id": self.id, "sha256": digest, "subject": self.subject, "taken": PhotographTaken::InApp,
            "taken_at": self.taken_at, "caption": "demonstration: drawn by a program"
        })
    }
}

/// Out at sea: the scenario has no real place.
const AT_SEA: Place = Place { latitude_deg: 47.5, longitude_deg: -19.25 };

/// What was photographed on a visit, each under its name: the papers and the faces; on the last visit everything.
pub fn list_shots(visit: &Visit, began_at: Timestamp, size: (u32, u32)) -> Vec<(String, Shot)> {
    let mut list = vec![
        ("registration".to_owned(), ShotKind::Registration { letters: car::REGISTRATION.to_owned() }, Signs::default()),
        ("vin".to_owned(), ShotKind::Vin { letters: car::VIN.to_owned() }, Signs::default()),
        ("odometer".to_owned(), ShotKind::Odometer { km: visit.odometer_km }, Signs::default()),
    ];
    for &corner in CornerName::ALL {
        list.extend(corner_list(corner, visit.state.at(corner), visit.is_last));
    }
    list.into_iter()
        .enumerate()
        .map(|(number, (id, kind, signs))| {
            let shot = Shot {
                kind,
                signs,
                seed: number as u64 + 1,
                size,
                taken_at: began_at + chrono::TimeDelta::seconds(95 * (number as i64 + 1)),
                // Some cameras write the place down, some do not; some are held on their side.
                place: number.is_multiple_of(3).then_some(AT_SEA),
                held: if number % 5 == 4 { Held::OnItsSide } else { Held::Level },
            };
            (id, shot)
        })
        .collect()
}

/// Draws these shots.
///
/// # Errors
/// A size that no JPEG has.
pub fn draw_photographs(shots: Vec<(String, Shot)>) -> Result<Vec<DrawnPhotograph>, CameraFileError> {
    shots
        .into_par_iter()
        .map(|(id, shot)| {
            Ok(DrawnPhotograph { id, subject: shot.kind.subject(), taken_at: shot.taken_at, bytes: encode(&shot)? })
        })
        .collect()
}

fn corner_list(corner: CornerName, state: &CornerState, everything: bool) -> Vec<(String, ShotKind, Signs)> {
    let base = Signs { heat: state.heat, bell: state.bell, ..Signs::default() };
    let face = |face, seen, wear, chemical| {
        (photograph(corner, face), ShotKind::Face { corner, face, seen }, Signs { wear, chemical, ..base })
    };
    let pad = |pad: PadName, lining_mm, taper_mm| {
        let id = format!("{}-{}-pad", corner.words(), pad.words()).replace(' ', "-");
        (id, ShotKind::Pad { corner, pad }, Signs { lining_mm, taper_mm, ..base })
    };
    let mut list = vec![face(FaceName::Outer, HowSeen::WheelOff, state.outer_wear, state.chemical)];
    if everything {
        list.push(face(FaceName::Inner, state.inner_seen, state.inner_wear, 0.0));
        if state.inner_seen == HowSeen::WheelOff {
            let id = format!("{}-bell", corner.words()).replace(' ', "-");
            list.push((id, ShotKind::Bell { corner }, Signs { wear: state.outer_wear, ..base }));
        }
        list.push(pad(PadName::Outer, state.outer_lining_mm, 0.1));
        list.push(pad(PadName::Inner, state.inner_lining_mm, state.inner_taper_mm));
    }
    list
}
