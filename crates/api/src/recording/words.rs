use model::{AxleFit, Braking, Estimate, FullyDeveloped, MeasuredDrive};

/// The figures in sentences, and what was written.
pub(super) fn tell(seen: &MeasuredDrive, written: &[String]) -> String {
    let mut lines = figures(seen);
    lines.push(String::new());
    lines.push(BESIDE.to_owned());
    if !written.is_empty() {
        lines.push(String::new());
        lines.extend(written.iter().map(|file| format!("Written: {file}")));
    }
    lines.join("\n") + "\n"
}

const BESIDE: &str = "These figures stand beside what was felt and heard. They judge no brake by themselves.";

/// The figures in sentences, an empty line between their kinds.
pub(crate) fn figures(seen: &MeasuredDrive) -> Vec<String> {
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
                AxleFit::CannotTell => String::new(),
                axle => format!(", {}", axle.words()),
            }
        ));
        for order in &pulsation.orders {
            let judged = if order.is_told() { "" } else { "; not told from noise" };
            lines.push(format!(
                "  {} a turn: {} m/s² while braking at {:.0}°, {:.2} m/s² while rolling{judged}",
                order.words(),
                figure(&Estimate { value: order.braking_m_per_s2, uncertainty: order.uncertainty_m_per_s2 }),
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
    lines
}

fn braking(number: usize, one: &Braking) -> Vec<String> {
    let what = one.kind.words();
    let kmh = |speed: &Estimate| Estimate { value: speed.value * 3.6, uncertainty: speed.uncertainty * 3.6 };
    let mut lines = vec![format!(
        "{number}. {what} at {:.1} s: from {} to {} km/h in {} m",
        one.from_s,
        figure(&kmh(&one.entry_m_per_s)),
        figure(&kmh(&one.exit_m_per_s)),
        figure(&one.distance_m),
    )];
    match &one.fully_developed {
        FullyDeveloped::Mean(mean) => lines.push(format!("   mean fully developed deceleration {} m/s²", figure(mean))),
        FullyDeveloped::NotEvaluable(reason) => {
            lines.push(format!("   no mean fully developed deceleration: {}", reason.words()));
        }
    }
    lines.push(format!(
        "   greatest {} m/s², nine tenths of it after {} s; bite {} m/s³",
        figure(&one.peak_m_per_s2),
        figure(&one.rise_s),
        figure(&one.jerk_m_per_s3),
    ));
    if let Some(anti_lock) = &one.anti_lock {
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
fn figure(measured: &Estimate) -> String {
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
