//! Figures as a reader sees them: no digit that is not known, and none too few to tell what the sentence says.

/// The most digits behind the point that any figure gets.
const MOST_DIGITS: usize = 6;

/// A share with its standard uncertainty in per cent, "71 ± 9": whole, or with the digits that the uncertainty's first
/// one needs ("75.0 ± 0.4"), so that nothing reads as known exactly.
pub fn percent(share: f64, uncertainty: f64) -> String {
    let (value, spread) = (share * 100.0, uncertainty * 100.0);
    let digits = find_digits(0, |digits| rounded(spread, digits) != rounded(0.0, digits));
    format!("{} ± {}", rounded(value, digits), rounded(spread, digits))
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
    fn a_value_reads_other_than_the_limit_that_it_misses() {
        assert_eq!(beside(1.2, 1.5, 1), "1.2");
        assert_eq!(beside(1.49, 1.5, 1), "1.49");
        assert_eq!(beside(5_295.8, 5_296.0, 0), "5295.8");
        assert_eq!(beside(1.5 - 1e-12, 1.5, 1), "1.500000");
    }
}
