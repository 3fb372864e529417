//! What came of all stops, in strata.

use std::fmt::Write as _;

use demo::drive::{Plan, Truth};
use model::{FullyDeveloped, MeasuredDrive};

/// One stop beside its truth.
struct Row {
    strata: Vec<String>,
    /// The deceleration found by the true one, less 1; none where it was called not evaluable.
    error: Option<f64>,
    /// Whether two standard uncertainties hold the truth.
    covered: bool,
    anti_lock: Option<bool>,
}

/// A drive's pulsation beside its truth.
struct Pulse {
    truth: f64,
    found: f64,
    uncertainty: f64,
    floor: f64,
    is_told: bool,
}

#[derive(Default)]
pub struct Tally {
    rows: Vec<Row>,
    missed: u32,
    not_evaluable: std::collections::BTreeMap<String, u32>,
    pulses: Vec<Pulse>,
    unsure: u32,
}

impl Tally {
    pub fn add(&mut self, number: u64, plan: &Plan, truths: &[Truth], seen: &MeasuredDrive) {
        for truth in truths {
            let found = seen.brakings.iter().find(|one| (one.from_s - truth.from_s).abs() < 0.7);
            let Some(one) = found else {
                self.missed += 1;
                continue;
            };
            let true_value = truth.mean_fully_developed.expect("every planned stop comes to a stand");
            let measured = one.fully_developed.mean();
            if let FullyDeveloped::NotEvaluable(reason) = one.fully_developed {
                let name = format!("{reason:?}").split([' ', '{']).next().unwrap_or_default().to_owned();
                *self.not_evaluable.entry(name).or_default() += 1;
            }
            let anti_lock = one.anti_lock.as_ref().map(|seen| seen.worked == truth.stop.anti_lock.is_some());
            self.unsure += u32::from(anti_lock.is_none());
            self.rows.push(Row {
                strata: strata(number, plan, truth),
                error: measured.map(|figure| figure.value / true_value - 1.0),
                covered: measured.is_some_and(|figure| (figure.value - true_value).abs() <= 2.0 * figure.uncertainty),
                anti_lock,
            });
        }
        if let Some(order) = seen.pulsation.as_ref().and_then(|seen| seen.orders.first()) {
            let truth = truths[0].stop.pulsation[0];
            let (found, floor) = (order.braking_m_per_s2, order.floor_m_per_s2);
            self.pulses.push(Pulse {
                truth,
                found,
                uncertainty: order.uncertainty_m_per_s2,
                floor,
                is_told: order.is_told(),
            });
        }
    }

    pub fn found(&self) -> f64 {
        self.rows.len() as f64 / (self.rows.len() as f64 + f64::from(self.missed))
    }

    pub fn within(&self, share: f64) -> f64 {
        part(self.rows.iter().filter_map(|row| row.error), |error| error.abs() <= share)
    }

    pub fn covered(&self) -> f64 {
        part(self.rows.iter().filter(|row| row.error.is_some()), |row| row.covered)
    }

    pub fn anti_lock_right(&self) -> f64 {
        part(self.rows.iter().filter_map(|row| row.anti_lock), |right| right)
    }

    pub fn pulsation_within(&self, share: f64) -> f64 {
        let clear = self.pulses.iter().filter(|pulse| pulse.truth > 2.0 * pulse.floor);
        part(clear, |pulse| (pulse.found / pulse.truth - 1.0).abs() <= share)
    }

    /// Share of the pulsations that stand out of the floor whose two standard uncertainties hold the truth.
    pub fn pulsation_covered(&self) -> f64 {
        let told = self.pulses.iter().filter(|pulse| pulse.truth > pulse.floor);
        part(told, |pulse| (pulse.found - pulse.truth).abs() <= 2.0 * pulse.uncertainty)
    }

    /// Share of the drives without any pulsation in which one is said to stand out of noise.
    pub fn pulsation_imagined(&self) -> f64 {
        part(self.pulses.iter().filter(|pulse| pulse.truth <= 0.0), |pulse| pulse.is_told)
    }

    /// Share of the drives with one above half the floor in which it is said to stand out of noise.
    pub fn pulsation_noticed(&self) -> f64 {
        part(self.pulses.iter().filter(|pulse| pulse.truth > 0.5 * pulse.floor), |pulse| pulse.is_told)
    }

    pub fn to_markdown(&self) -> String {
        let mut text = String::from("# Generated drives\n\n");
        let _ = writeln!(
            text,
            "{} stops of {} found. Mean fully developed deceleration within 3 %: {:.1} %; two standard uncertainties hold the \
             truth in {:.1} %. Anti-lock right: {:.2} %; not told in {} stops.\n",
            self.rows.len(),
            self.rows.len() as u32 + self.missed,
            100.0 * self.within(0.03),
            100.0 * self.covered(),
            100.0 * self.anti_lock_right(),
            self.unsure,
        );
        for (reason, count) in &self.not_evaluable {
            let _ = writeln!(text, "Not evaluable, {reason}: {count}\n");
        }
        text += "| stratum | stops | median error % | 99 % of errors within % | within 3 % | interval holds | anti-lock right |\n";
        text += "|---|---|---|---|---|---|---|\n";
        let mut names: Vec<&String> = self.rows.iter().flat_map(|row| &row.strata).collect();
        names.sort();
        names.dedup();
        for name in names {
            let rows: Vec<&Row> = self.rows.iter().filter(|row| row.strata.contains(name)).collect();
            let mut errors: Vec<f64> = rows.iter().filter_map(|row| row.error).map(f64::abs).collect();
            errors.sort_by(f64::total_cmp);
            let at = |share: f64| errors.get((errors.len() as f64 * share) as usize).map_or(0.0, |error| 100.0 * error);
            let _ = writeln!(
                text,
                "| {name} | {} | {:.1} | {:.1} | {:.1} % | {:.0} % | {:.1} % |",
                rows.len(),
                at(0.5),
                at(0.99),
                100.0 * part(errors.iter(), |error| *error <= 0.03),
                100.0 * part(rows.iter().filter(|row| row.error.is_some()), |row| row.covered),
                100.0 * part(rows.iter().filter_map(|row| row.anti_lock), |right| right),
            );
        }
        let _ = writeln!(
            text,
            "\nThe noise floor is the limit of quantification, ten standard deviations of what noise does to an amplitude. Two \
             standard uncertainties hold the first order's truth in {:.0} % of the drives above it. It is said to stand out of \
             noise in {:.1} % of the drives whose truth is above half the floor, and in {:.1} % of those that have none.\n",
            100.0 * self.pulsation_covered(),
            100.0 * self.pulsation_noticed(),
            100.0 * self.pulsation_imagined(),
        );
        text += "| true amplitude of the first order by the floor | drives | median error % | 90 % of errors within % | within 10 % |\n";
        text += "|---|---|---|---|---|\n";
        let strata =
            [("half to 1", 0.5, 1.0), ("1 to 2", 1.0, 2.0), ("2 to 4", 2.0, 4.0), ("over 4", 4.0, f64::INFINITY)];
        for (name, low, high) in strata {
            let mut errors: Vec<f64> = self
                .pulses
                .iter()
                .filter(|pulse| (low..high).contains(&(pulse.truth / pulse.floor)))
                .map(|pulse| (pulse.found / pulse.truth - 1.0).abs())
                .collect();
            errors.sort_by(f64::total_cmp);
            let at = |share: f64| errors.get((errors.len() as f64 * share) as usize).map_or(0.0, |error| 100.0 * error);
            let within = 100.0 * part(errors.iter(), |error| *error <= 0.1);
            let _ = writeln!(text, "| {name} | {} | {:.0} | {:.0} | {within:.0} % |", errors.len(), at(0.5), at(0.9));
        }
        text
    }
}

fn part<T>(all: impl Iterator<Item = T>, is: impl Fn(T) -> bool) -> f64 {
    let (mut count, mut yes) = (0_u32, 0_u32);
    for one in all {
        count += 1;
        yes += u32::from(is(one));
    }
    f64::from(yes) / f64::from(count.max(1))
}

fn strata(number: u64, plan: &Plan, truth: &Truth) -> Vec<String> {
    let speed = match truth.entry_m_per_s * 3.6 {
        slow if slow < 60.0 => "under 60 km/h",
        middle if middle < 90.0 => "60 to 90 km/h",
        _ => "over 90 km/h",
    };
    let slope = if plan.slope < 0.02 { "slopes under 2 %" } else { "slopes to 5 %" };
    let form = match number % 8 {
        0 => "places alone",
        1..=3 => "receiver's sentences",
        _ => "receiver's table",
    };
    let jitter = if plan.jitter < 0.2 { "even rows" } else { "uneven rows" };
    let rate = format!("{} rows a second", plan.rate_hz);
    let gaps = if plan.gaps > 0.0 { "with gaps" } else { "without gaps" };
    let receiver = if plan.receiver.missing > 0.0 { "fixes missing" } else { "all fixes" };
    let noise = if plan.noise < 0.04 { "quiet sensor" } else { "noisy sensor" };
    [speed, slope, form, jitter, &rate, gaps, receiver, noise].map(str::to_owned).to_vec()
}
