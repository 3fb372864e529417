//! How long to wait after something failed.

/// The first pause, in ms.
const FIRST_MS: u64 = 1_000;
/// The longest one, in ms: a phone that comes back into a signal is not kept waiting.
const LONGEST_MS: u64 = 5 * 60 * 1_000;

/// Milliseconds to wait after so many failures in a row: doubled each time, and anywhere in its upper half, so that many
/// devices that lost the office at once do not come back at once. `draw` is any random number.
pub const fn pause_ms(failures: u32, draw: u64) -> u64 {
    if failures == 0 {
        return 0;
    }
    let doublings = if failures > 16 { 16 } else { failures - 1 };
    let most = FIRST_MS << doublings;
    let most = if most > LONGEST_MS { LONGEST_MS } else { most };
    most / 2 + draw % (most / 2 + 1)
}

/// The longest that a device is kept away by what an answer asks for, in ms: something before the office may ask for days.
const LONGEST_ASKED_MS: u64 = 60 * 60 * 1_000;

/// Milliseconds to wait where `asked` were asked for and `pause` would have been waited: never shorter than either, but an hour
/// at most, and a tenth longer at most, so that many devices that were sent away at once do not come back at once.
pub const fn later_ms(pause: u64, asked: u64, draw: u64) -> u64 {
    let asked = if asked > LONGEST_ASKED_MS { LONGEST_ASKED_MS } else { asked };
    let spread = asked + draw % (asked / 10 + 1);
    if spread > pause { spread } else { pause }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn whoever_is_asked_to_wait_waits_as_long_and_not_for_ever() {
        for draw in [0, 1, 12_345, u64::MAX] {
            let waited = later_ms(1_000, 30_000, draw);
            assert!((30_000..=33_000).contains(&waited), "{waited}");
            assert_eq!(later_ms(90_000, 1_000, draw), 90_000, "what failed often rests longer");
            assert!(later_ms(1_000, u64::MAX, draw) <= LONGEST_ASKED_MS + LONGEST_ASKED_MS / 10);
        }
        assert_ne!(later_ms(1_000, 30_000, 1), later_ms(1_000, 30_000, 2));
    }

    #[test]
    fn pauses_grow_are_spread_and_end_somewhere() {
        assert_eq!(pause_ms(0, 77), 0);
        for draw in [0, 1, 12_345, u64::MAX] {
            let mut longest = 0;
            for failures in 1..60 {
                let most = (FIRST_MS << (failures - 1).min(16)).min(LONGEST_MS);
                let pause = pause_ms(failures, draw);
                assert!((most / 2..=most).contains(&pause), "{failures}: {pause}");
                longest = longest.max(pause);
            }
            assert!(longest <= LONGEST_MS);
        }
        assert_ne!(pause_ms(5, 1), pause_ms(5, 2));
    }
}
