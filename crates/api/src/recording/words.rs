use road_test::{AxleFit, BrakingKind, BrakingSeen, DriveSeen, Measured};

/// The figures in sentences.
pub(super) fn tell(seen: &DriveSeen, plots: &[String]) -> String {
    let mut lines = Vec::new();
    lines.push(format!("{} of driving, {} found.", seconds(seen.length_s), count(seen.brakings.len())));
    for (nth, one) in seen.brakings.iter().enumerate() {
        lines.push(String::new());
        lines.extend(braking(nth + 1, one));
    }
    if let Some(pulsation) = &seen.pulsation {
        lines.push(String::new());
        lines.push(format!(
            "Pulsation over {:.0} turns of the wheel ({:.3} m a turn{}):",
            pulsation.turns,
            pulsation.circumference_m,
            match pulsation.axle {
                AxleFit::Front => ", the front axle's tyres",
                AxleFit::Rear => ", the rear axle's tyres",
                AxleFit::CannotTell => "",
            }
        ));
        for order in &pulsation.orders {
            let judged = if order.chance_of_noise < 0.01 { "" } else { "; not told from noise" };
            lines.push(format!(
                "  {} a turn: {} m/s² while braking at {:.0}°, {:.2} m/s² while rolling{judged}",
                times(order.order),
                figure(&Measured { value: order.braking_m_per_s2, uncertainty: order.uncertainty_m_per_s2 }),
                order.phase_deg,
                order.coasting_m_per_s2,
            ));
        }
    }
    if let Some(sound) = &seen.sound {
        lines.push(String::new());
        lines.push(format!(
            "Sound: braking is {} dB above rolling at the same speeds, from 1 to 6 kHz ({:.0} s against {:.0} s).",
            figure(&sound.grain_db),
            sound.braking_s,
            sound.rolling_s,
        ));
        lines.push(format!(
            "  kurtosis {:.1} (rolling {:.1}), flicker {:.2} (rolling {:.2}), centroid {:.0} Hz (rolling {:.0} Hz)",
            sound.braking.kurtosis,
            sound.rolling.kurtosis,
            sound.braking.roughness,
            sound.rolling.roughness,
            sound.braking.centroid_hz,
            sound.rolling.centroid_hz,
        ));
    }
    if !seen.limits.is_empty() {
        lines.push(String::new());
        lines.push("What limits these figures:".to_owned());
        lines.extend(seen.limits.iter().map(|limit| format!("  {limit}")));
    }
    lines.push(String::new());
    lines.push("These figures stand beside what was felt and heard. They judge no brake by themselves.".to_owned());
    if !plots.is_empty() {
        lines.push(String::new());
        lines.extend(plots.iter().map(|plot| format!("Written: {plot}")));
    }
    lines.join("\n") + "\n"
}

fn braking(number: usize, seen: &BrakingSeen) -> Vec<String> {
    let one = &seen.braking;
    let what = match one.kind {
        BrakingKind::LowSpeedDab => "low-speed dab",
        BrakingKind::Stop => "braking",
    };
    let kmh = |speed: &Measured| Measured { value: speed.value * 3.6, uncertainty: speed.uncertainty * 3.6 };
    let mut lines = vec![format!(
        "{number}. {what} at {:.1} s: from {} to {} km/h in {} m",
        one.from_s,
        figure(&kmh(&one.entry_m_per_s)),
        figure(&kmh(&one.exit_m_per_s)),
        figure(&one.distance_m),
    )];
    match &one.mean_fully_developed {
        Ok(mean) => lines.push(format!("   mean fully developed deceleration {} m/s²", figure(mean))),
        Err(reason) => lines.push(format!("   no mean fully developed deceleration: {}", reason.words())),
    }
    lines.push(format!(
        "   greatest {} m/s², nine tenths of it after {} s; bite {} m/s³",
        figure(&one.peak_m_per_s2),
        figure(&one.rise_s),
        figure(&one.jerk_m_per_s3),
    ));
    if let Some(anti_lock) = &seen.anti_lock {
        lines.push(match &anti_lock.adhesion {
            Some(adhesion) => format!(
                "   the anti-lock worked (swing {:.2} m/s²): the tyres were the limit, adhesion {}",
                anti_lock.modulation_m_per_s2,
                figure(adhesion)
            ),
            None => "   no anti-lock at work: the brake or the foot was the limit".to_owned(),
        });
    }
    lines
}

/// A figure to the digits that its uncertainty leaves.
fn figure(measured: &Measured) -> String {
    let digits = if measured.uncertainty >= 1.0 {
        0
    } else if measured.uncertainty >= 0.1 {
        1
    } else {
        2
    };
    format!("{:.digits$} ± {:.digits$}", measured.value, measured.uncertainty)
}

fn seconds(length: f64) -> String {
    if length < 120.0 { format!("{length:.0} seconds") } else { format!("{:.1} minutes", length / 60.0) }
}

fn count(brakings: usize) -> String {
    match brakings {
        0 => "no braking".to_owned(),
        1 => "one braking".to_owned(),
        many => format!("{many} brakings"),
    }
}

fn times(order: u8) -> &'static str {
    match order {
        1 => "once",
        2 => "twice",
        3 => "three times",
        _ => "four times",
    }
}
