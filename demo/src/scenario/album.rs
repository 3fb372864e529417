//! The photographs of a visit, drawn from how each corner really is.

use model::{CornerName, FaceName, HowSeen, PadName, PhotographSubject, PhotographTaken, Place, Sha256, Timestamp};
use rayon::prelude::*;
use serde_json::{Value, json};

use super::{
    car,
    clock::{Clock, Times},
    findings::{name, photograph},
    state::{CornerState, Reach},
    visit::{Album, Visit, VisitError},
};
use crate::photograph::{CameraFileError, Held, Shot, ShotKind, Signs, encode, mark_json};

/// A photograph to be drawn, and what the inspection says of it.
#[derive(Debug, Clone)]
pub struct PlannedPhotograph {
    /// Its name in the inspection.
    pub id: String,
    /// What it is taken down as.
    pub subject: PhotographSubject,
    /// What there is to see.
    pub caption: String,
    /// How it came into the inspection.
    pub taken: PhotographTaken,
    /// What to draw.
    pub shot: Shot,
}

/// A drawn photograph with its place in the inspection.
#[derive(Debug, Clone)]
pub struct DrawnPhotograph {
    /// What was planned.
    pub plan: PlannedPhotograph,
    /// The camera's file.
    pub bytes: Vec<u8>,
}

impl DrawnPhotograph {
    /// Its name in the inspection.
    pub fn id(&self) -> &str {
        &self.plan.id
    }

    /// Where an inspector marked the ring, as a file beside the photograph has it, where one is measured in it.
    pub fn mark_json(&self) -> Option<String> {
        mark_json(&self.plan.shot)
    }

    /// The photograph as an entry of an inspection's `photographs`.
    pub(super) fn entry(&self) -> Value {
        let PlannedPhotograph { id, subject, caption, taken, shot } = &self.plan;
        json!({
            "id": id, "sha256": Sha256::of(&self.bytes), "subject": subject, "taken": taken,
            "taken_at": shot.taken_at, "caption": caption
        })
    }
}

/// Whose faces are measured on each visit.
const MEASURED: CornerName = CornerName::RearLeft;

/// Out at sea: the scenario has no real place.
const AT_SEA: Place = Place { latitude_deg: 47.5, longitude_deg: -19.25 };

/// What was photographed on a visit, in the order in which it was.
///
/// # Errors
/// A visit whose times are none.
pub fn list_shots(visit: &Visit, size: (u32, u32)) -> Result<Vec<PlannedPhotograph>, VisitError> {
    let clock = Clock::new(visit.began_at()?);
    let mut roll = Roll { visit, size, list: Vec::new() };
    roll.take_papers(clock.papers())?;
    for (corner, state) in visit.corners.iter() {
        roll.take_corner(corner, state, &mut clock.photographs_at(corner));
    }
    Ok(roll.list)
}

/// Draws these photographs; the same plan gives the same bytes.
///
/// # Errors
/// A size that no JPEG has.
pub fn draw_photographs(plans: &[PlannedPhotograph]) -> Result<Vec<DrawnPhotograph>, CameraFileError> {
    plans.par_iter().map(|plan| Ok(DrawnPhotograph { plan: plan.clone(), bytes: encode(&plan.shot)? })).collect()
}

/// The photographs of a visit so far.
struct Roll<'a> {
    visit: &'a Visit,
    size: (u32, u32),
    list: Vec<PlannedPhotograph>,
}

impl Roll<'_> {
    fn add(&mut self, id: String, kind: ShotKind, signs: Signs, caption: &str, taken_at: Timestamp) {
        let number = self.list.len();
        let shot = Shot {
            signs,
            seed: u64::from(self.visit.odometer_km) * 100 + number as u64,
            size: self.size,
            taken_at,
            // Some cameras write the place down, some do not; some are held on their side.
            place: number.is_multiple_of(3).then_some(AT_SEA),
            held: match number % 7 {
                4 => Held::OnItsSide,
                6 => Held::UpsideDown,
                _ => Held::Level,
            },
            kind,
        };
        self.list.push(PlannedPhotograph {
            id,
            subject: shot.kind.subject(),
            caption: caption.to_owned(),
            taken: PhotographTaken::InApp,
            shot,
        });
    }

    fn take_papers(&mut self, mut times: Times) -> Result<(), VisitError> {
        let signs = Signs::default();
        let plate = ShotKind::Registration { letters: car::REGISTRATION.to_owned() };
        self.add("registration".into(), plate, signs, "Plate, rear of the car", times.next_entry());
        if let (Some(sent_on), Some(plate)) = (self.visit.registration_sent_on, self.list.last_mut()) {
            plate.shot.taken_at = sent_on.parse()?;
            plate.taken = PhotographTaken::Imported;
            "Plate, as the dealer sent it before the visit; compared with the car".clone_into(&mut plate.caption);
        }
        let vin = ShotKind::Vin { letters: car::VIN.to_owned() };
        self.add("vin".into(), vin, signs, "Number on its plate under the front lid", times.next_entry());
        let odometer = ShotKind::Odometer { km: self.visit.odometer_km };
        self.add("odometer".into(), odometer, signs, "On arrival, ignition on", times.next_entry());
        Ok(())
    }

    fn take_corner(&mut self, corner: CornerName, state: &CornerState, times: &mut Times) {
        for &face in FaceName::ALL {
            self.take_face(corner, face, state, photograph(corner, face), times);
        }
        if self.visit.album == Album::Everything {
            for &face in FaceName::ALL {
                if is_remarkable(face, state) {
                    let id = format!("{}-2", photograph(corner, face));
                    self.take_face(corner, face, state, id, times);
                }
            }
            if state.reach != Reach::WheelOn {
                let signs = Signs { wear: state.outer_wear, ..signs_of(state) };
                let caption = format!("Bell, {}", state.bell.words());
                self.add(name(corner, "bell"), ShotKind::Bell { corner }, signs, &caption, times.next_entry());
            }
        }
        for &pad in PadName::ALL {
            let wanted = match self.visit.album {
                Album::Faces => false,
                Album::FacesAndInnerPads => pad == PadName::Inner,
                Album::Everything => true,
            };
            if wanted && state.reaches_pad(pad) {
                let id = name(corner, &format!("{}-pad", pad.words()));
                let (lining_mm, _) = state.lining(pad);
                let caption = format!("Edge of the {} pad beside a rule, lining about {lining_mm:.0} mm", pad.words());
                self.take_pad(corner, pad, state, id, &caption, times);
            }
        }
        if corner == MEASURED && state.reach != Reach::WheelOn {
            self.take_straight(corner, state, times);
        }
        if self.visit.album == Album::Everything && state.heat > 0.0 {
            let caption = format!(
                "Through the window of the calliper; it {}",
                match state.calliper {
                    model::CalliperState::Drags => "drags",
                    _ => "moves freely",
                }
            );
            self.take_pad(corner, PadName::Outer, state, name(corner, "calliper"), &caption, times);
            if let Some(calliper) = self.list.last_mut() {
                calliper.subject = PhotographSubject::Calliper { corner };
            }
        }
    }

    fn take_face(&mut self, corner: CornerName, face: FaceName, state: &CornerState, id: String, times: &mut Times) {
        let seen = state.face_seen(face);
        let chemical = if face == FaceName::Outer { state.chemical } else { 0.0 };
        let signs = Signs { wear: state.face_wear(face), chemical, ..signs_of(state) };
        let second = if id.ends_with("-2") { ", from another side" } else { "" };
        let caption = match seen {
            HowSeen::Mirror => format!("{} face in a hand mirror", capital(face)),
            HowSeen::ThroughWheel => format!("{} face through the wheel's spokes", capital(face)),
            HowSeen::WheelOff => format!("{} face, wheel off{second}", capital(face)),
        };
        self.add(id, ShotKind::Face { corner, face, seen }, signs, &caption, times.next_entry());
    }

    /// Both faces, for their patterns to be measured.
    fn take_straight(&mut self, corner: CornerName, state: &CornerState, times: &mut Times) {
        for &face in FaceName::ALL {
            let signs = Signs { wear: state.face_wear(face), ..signs_of(state) };
            let caption = format!("{} face from straight before it; the ring is marked", capital(face));
            let id = format!("{}-straight", photograph(corner, face));
            self.add(id, ShotKind::Straight { corner, face }, signs, &caption, times.next_entry());
        }
    }

    fn take_pad(
        &mut self,
        corner: CornerName,
        pad: PadName,
        state: &CornerState,
        id: String,
        caption: &str,
        times: &mut Times,
    ) {
        let (lining_mm, taper_mm) = state.lining(pad);
        let signs = Signs { lining_mm, taper_mm, ..signs_of(state) };
        self.add(id, ShotKind::Pad { corner, pad }, signs, caption, times.next_entry());
    }
}

/// What an inspector takes a second look at.
fn is_remarkable(face: FaceName, state: &CornerState) -> bool {
    state.face_wear(face) > 0.9 || (face == FaceName::Outer && (state.chemical > 0.0 || state.heat > 0.4))
}

fn signs_of(state: &CornerState) -> Signs {
    Signs { heat: state.heat, bell: state.bell, ..Signs::default() }
}

const fn capital(face: FaceName) -> &'static str {
    match face {
        FaceName::Outer => "Outer",
        FaceName::Inner => "Inner",
    }
}
