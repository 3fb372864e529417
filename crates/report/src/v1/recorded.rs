//! What was recorded on the road test, drive by drive.

use model::{Braking, BrakingKind, Estimate, FullyDeveloped, MeasuredDrive, RoadTest};

use super::{
    chart::set_drive,
    flow::Flow,
    setting::{LABEL, SMALL, Table},
    text::{Span, keep_together},
    tree::NodeId,
    words,
};

/// A heading, the drawing and the first rows stand together.
const LEAST_FOR_DRIVE: f64 = 330.0;

/// Sets what was recorded; nothing where nothing was.
pub(crate) fn set(flow: &mut Flow<'_>, test: &RoadTest, section: NodeId) {
    for (place, drive) in test.drives.iter().enumerate() {
        flow.turn_page_unless(LEAST_FOR_DRIVE);
        let title = if test.drives.len() == 1 {
            "What was recorded".to_owned()
        } else {
            format!("Recorded drive {}", place + 1)
        };
        flow.subheading(section, &title, true);
        set_drive(flow, section, drive);
        set_brakings(flow, section, drive);
        set_facts(flow, section, drive);
    }
    if !test.drives.is_empty() {
        flow.paragraph(
            section,
            &[Span::new(
                "After ± stands one standard deviation. The recordings stand beside what was felt and heard; they judge no \
                 brake by themselves, and a stop on a road is none of a type test.",
                LABEL,
            )],
        );
    }
}

fn set_brakings(flow: &mut Flow<'_>, section: NodeId, drive: &MeasuredDrive) {
    if drive.brakings.is_empty() {
        flow.paragraph(section, &[Span::new("No braking was found in it.", SMALL)]);
        return;
    }
    let mut table = Table::dense(&[
        (0.04, ""),
        (0.17, "Speed in km/h"),
        (0.12, "Way in m"),
        (0.3, "Mean fully developed deceleration in m/s²"),
        (0.13, "Greatest"),
        (0.24, "Bite, anti-lock"),
    ]);
    for (place, one) in drive.brakings.iter().enumerate() {
        table.row([
            &(place + 1).to_string(),
            &format!("{} to {}", km_h(one.entry_m_per_s), km_h(one.exit_m_per_s)),
            &estimate(one.distance_m),
            &match &one.fully_developed {
                FullyDeveloped::Mean(mean) => estimate(*mean),
                FullyDeveloped::NotEvaluable(_) if one.kind == BrakingKind::LowSpeedDab => one.kind.words().to_owned(),
                FullyDeveloped::NotEvaluable(reason) => format!("not told: {}", reason.words()),
            },
            &estimate(one.peak_m_per_s2),
            &bite(one),
        ]);
    }
    flow.table(section, &table);
}

fn bite(one: &Braking) -> String {
    let bite =
        format!("{} m/s³, nine tenths after {} s", estimate(one.jerk_m_per_s3), words::number(one.rise_s.value, 2));
    match one.anti_lock.as_ref().map(|seen| (seen.worked, seen.adhesion)) {
        Some((true, Some(adhesion))) => format!("{bite}; anti-lock at work, adhesion {}", estimate(adhesion)),
        Some((true, None)) => format!("{bite}; anti-lock at work"),
        Some((false, _)) => format!("{bite}; no anti-lock at work"),
        None => bite,
    }
}

fn set_facts(flow: &mut Flow<'_>, section: NodeId, drive: &MeasuredDrive) {
    if let Some(seen) = &drive.pulsation {
        for order in &seen.orders {
            let value = Estimate { value: order.braking_m_per_s2, uncertainty: order.uncertainty_m_per_s2 };
            let told = if order.is_told() { "" } else { "; not told from noise" };
            flow.fact(
                section,
                &words::capital(&format!("{} a turn", order.words())),
                &format!(
                    "{} m/s² while braking at {}°, {} m/s² while rolling{told}",
                    estimate(value),
                    words::number(order.phase_deg, 0),
                    words::number(order.coasting_m_per_s2, 2)
                ),
            );
        }
        flow.fact(
            section,
            "Turns",
            &format!(
                "{} of {} m each: {}",
                words::number(seen.turns, 0),
                words::number(seen.circumference_m, 3),
                seen.axle.words()
            ),
        );
    }
    if let Some(sound) = &drive.sound {
        flow.fact(
            section,
            "Sound",
            &format!(
                "braking {} dB above rolling at the same speeds from 1 to 6 kHz ({} s against {} s); kurtosis {} against {}, \
                 flicker {} against {}",
                estimate(sound.grain_db),
                words::number(sound.braking_s, 0),
                words::number(sound.rolling_s, 0),
                words::number(sound.braking.kurtosis, 1),
                words::number(sound.rolling.kurtosis, 1),
                words::number(sound.braking.roughness, 2),
                words::number(sound.rolling.roughness, 2),
            ),
        );
    }
    let recordings: Vec<&str> = drive.recordings.iter().map(model::Label::as_str).collect();
    flow.fact(section, "From", &recordings.join(", "));
    for (place, limit) in drive.limits.iter().enumerate() {
        flow.fact(section, if place == 0 { "What limits it" } else { "" }, limit.as_str());
    }
}

fn km_h(speed: Estimate) -> String {
    words::number(speed.value * 3.6, 0)
}

/// A figure with the digits that its uncertainty leaves.
fn estimate(figure: Estimate) -> String {
    let behind = if figure.uncertainty >= 1.0 {
        0
    } else if figure.uncertainty >= 0.1 {
        1
    } else {
        2
    };
    keep_together(&format!("{} ± {}", words::number(figure.value, behind), words::number(figure.uncertainty, behind)))
}
