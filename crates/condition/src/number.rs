//! Figures as a reader sees them: no digit that is not known, and none too few to tell what the sentence says.

use model::{Odometer, OdometerUnit};

/// The most digits behind the point that any figure gets.
const MOST_DIGITS: usize = 6;

/// A share with its standard uncertainty in per cent, "71 ± 9": whole, or with the digits that the uncertainty's first
/// one needs ("75.0 ± 0.4"), so that nothing reads as known exactly.
pub fn percent(share: f64, uncertainty: f64) -> String {
    let (value, spread) = (share * 100.0, uncertainty * 100.0);
    let digits = find_digits(0, |digits| rounded(spread, digits) != rounded(0.0, digits));
    format!("{} ± {}", rounded(value, digits), rounded(spread, digits))
}

/// A share in per cent, alone: whole, or with a digit where it is under one.
pub fn percent_alone(share: f64) -> String {
    let value = share * 100.0;
    rounded(value, usize::from(value.abs() < 1.0))
}

/// A chance in per cent, whole; what is all but certain is not called certain.
pub fn chance_percent(chance: f64) -> String {
    match chance {
        chance if chance < 0.01 => "under 1 %".to_owned(),
        chance if chance > 0.99 => "over 99 %".to_owned(),
        chance => format!("{} %", rounded(chance * 100.0, 0)),
    }
}

/// So many digits behind the point that a standard uncertainty shows its first figure to a quarter.
pub fn digits_for(uncertainty: f64) -> usize {
    find_digits(0, |digits| {
        let shown: f64 = rounded(uncertainty, digits).parse().unwrap_or(uncertainty);
        (shown - uncertainty).abs() <= 0.25 * uncertainty.abs()
    })
}

/// A distance as a reader takes it in: two figures that count, thousands apart; "0 km" under half a kilometre.
pub fn kilometres(km: f64) -> String {
    if km < 0.5 {
        return "0 km".to_owned();
    }
    let step = libm::pow(10.0, libm::floor(libm::log10(km)) - 1.0).max(1.0);
    format!("{} km", thousands((km / step).round() * step))
}

/// The same in the unit that the car counts in; miles with the kilometres in brackets.
pub fn distance(km: f64, unit: OdometerUnit) -> String {
    match unit {
        OdometerUnit::Km => kilometres(km),
        OdometerUnit::Mi => {
            let miles = kilometres(km / Odometer::KM_PER_MILE).replace("km", "mi");
            format!("{miles} ({})", kilometres(km))
        }
    }
}

/// A whole number with its thousands apart: `15 400`.
pub fn thousands(whole: f64) -> String {
    set_thousands_apart(&format!("{whole:.0}"))
}

/// Digits with their thousands apart, by a narrow space that does not break.
pub fn set_thousands_apart(digits: &str) -> String {
    let mut apart = String::new();
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at).is_multiple_of(3) {
            apart.push('\u{202F}');
        }
        apart.push(digit);
    }
    apart
}

/// A value that stands beside a limit other than it: with so many digits, or with more where both would read alike.
pub fn beside(value: f64, limit: f64, digits: usize) -> String {
    rounded(value, find_digits(digits, |digits| rounded(value, digits) != rounded(limit, digits)))
}

/// A figure with so many digits behind the point, and no minus before a zero.
pub fn rounded(value: f64, digits: usize) -> String {
    let text = format!("{value:.digits$}");
    match text.strip_prefix('-') {
        Some(zero) if zero.bytes().all(|byte| matches!(byte, b'0' | b'.')) => zero.to_owned(),
        _ => text,
    }
}

fn find_digits(least: usize, mut is_enough: impl FnMut(usize) -> bool) -> usize {
    (least..MOST_DIGITS).find(|&digits| is_enough(digits)).unwrap_or(MOST_DIGITS)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_share_shows_what_is_known_of_it() {
        assert_eq!(percent(0.712, 0.094), "71 ± 9");
        assert_eq!(percent(0.75, 0.0125), "75 ± 1");
        assert_eq!(percent(0.75, 0.004), "75.0 ± 0.4");
        assert_eq!(percent(-0.002, 0.02), "0 ± 2");
        assert_eq!(percent(-0.032, 0.02), "-3 ± 2");
    }

    #[test]
    fn what_is_all_but_certain_is_not_called_certain() {
        let words = [0.0, 0.004, 0.155, 0.5, 0.996, 1.0].map(chance_percent);
        assert_eq!(words, ["under 1 %", "under 1 %", "16 %", "50 %", "over 99 %", "over 99 %"]);
    }

    #[test]
    fn an_uncertainty_shows_its_first_figure() {
        assert_eq!([2.34, 1.4, 0.005, 0.04, 0.0].map(digits_for), [0, 1, 3, 2, 0]);
    }

    #[test]
    fn a_distance_shows_two_figures() {
        for (km, words) in [
            (0.2, "0 km"),
            (7.4, "7 km"),
            (96.0, "96 km"),
            (9_960.0, "10\u{202F}000 km"),
            (18_349.0, "18\u{202F}000 km"),
            (1_000_000.0, "1\u{202F}000\u{202F}000 km"),
        ] {
            assert_eq!(kilometres(km), words);
        }
    }

    #[test]
    fn a_value_reads_other_than_the_limit_that_it_misses() {
        assert_eq!(beside(1.2, 1.5, 1), "1.2");
        assert_eq!(beside(1.49, 1.5, 1), "1.49");
        assert_eq!(beside(5_295.8, 5_296.0, 0), "5295.8");
        assert_eq!(beside(1.5 - 1e-12, 1.5, 1), "1.500000");
    }
}
