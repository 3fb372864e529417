//! What the recordings of the road test show. No limit is known for any of it: a stop of a test drive is none of a type
//! test, whose load, pedal force and disc temperature are prescribed.

use model::{AxleFit, Evidence, Inspection, Measured, MeasuredDrive, Source};

use super::{Held, estimate};
use crate::explain::from_evidence;

pub fn list(inspection: &Inspection) -> Vec<Measured> {
    let drives = inspection.road_test.seen().into_iter().flat_map(|test| &test.drives).enumerate();
    drives.flat_map(|(index, drive)| of_drive(index as u32, drive)).collect()
}

fn of_drive(index: u32, drive: &MeasuredDrive) -> Vec<Measured> {
    let mut all = Vec::new();
    let mut add = |what: String, value: model::Estimate, unit: &'static str, text: String, source: Source| {
        let because = from_evidence(text, source.clone(), vec![Evidence::Drive { index }]);
        let held =
            Held { what, estimate: estimate(value.value, value.uncertainty, because), unit, limit: None, source };
        all.push(held.judge());
    };
    let hardest = drive.brakings.iter().filter_map(|one| Some((one, one.fully_developed.mean()?)));
    if let Some((one, mean)) = hardest.max_by(|(_, one), (_, other)| one.value.total_cmp(&other.value)) {
        let from = one.entry_m_per_s.value * 3.6;
        let rule = "UN Regulation No. 13, Annex 4, 1.1.2";
        add(
            format!("Mean fully developed deceleration of the hardest recorded stop, from {from:.0} km/h"),
            mean,
            "m/s²",
            format!(
                "By {rule}, from the recorded motion, {:.0} s after its beginning.",
                one.from_s - drive.trace.from_s
            ),
            crate::explain::published(rule),
        );
    }
    let adhesions = drive.brakings.iter().filter_map(|one| one.anti_lock.as_ref()?.adhesion);
    if let Some(adhesion) = adhesions.max_by(|one, other| one.value.total_cmp(&other.value)) {
        add(
            "Adhesion that tyres and road gave while the anti-lock worked".to_owned(),
            adhesion,
            "of gravity",
            "The mean recorded deceleration while it was modulated as by an anti-lock, by gravity: the tyres were the limit."
                .to_owned(),
            Source::ProjectAssumption,
        );
    }
    if let Some(seen) = &drive.pulsation {
        let at = match seen.axle {
            AxleFit::CannotTell => String::new(),
            axle => format!(", at the pace of {}", axle.words()),
        };
        for order in seen.orders.iter().filter(|order| order.is_told()) {
            let value = model::Estimate { value: order.braking_m_per_s2, uncertainty: order.uncertainty_m_per_s2 };
            add(
                format!("Recorded pulsation while braking, {} a turn of the wheel{at}", order.words()),
                value,
                "m/s²",
                format!(
                    "Amplitude over {:.0} turns of {:.3} m; {:.2} m/s² while rolling at the same speeds; this drive tells \
                     amplitudes from {:.2} m/s² to a tenth.",
                    seen.turns, seen.circumference_m, order.coasting_m_per_s2, order.floor_m_per_s2
                ),
                Source::ProjectAssumption,
            );
        }
    }
    if let Some(sound) = &drive.sound {
        add(
            "Recorded sound of braking above that of rolling at the same speeds, 1 to 6 kHz".to_owned(),
            sound.grain_db,
            "dB",
            format!(
                "{:.0} s of braking compared with {:.0} s of rolling. What it says of wear is the ear's to judge: no source \
                 links the two.",
                sound.braking_s, sound.rolling_s
            ),
            Source::ProjectAssumption,
        );
    }
    all
}
