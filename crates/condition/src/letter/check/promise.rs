//! Words that promise discs without end.

/// Turns of phrase that promise discs without end.
const FOR_EVER: [&str; 12] = [
    "lifetime item",
    "lifetime part",
    "lifetime disc",
    "lifetime brake",
    "life of the car",
    "as long as the car",
    "never wear",
    "do not wear",
    "don't wear",
    "never need replac",
    "never have to be replaced",
    "last forever",
];
/// Words that turn such a phrase into something else.
const DENIALS: [&str; 6] = ["not a lifetime", "no lifetime", "not last", "warranty", "guarantee", "not as long as"];

/// Whether somewhere in these words discs without end are promised.
pub(super) fn promises_for_ever(words: &str) -> bool {
    let words = words.to_lowercase();
    words.split(['.', ';', '!', '?', '\n']).any(|sentence| {
        FOR_EVER.iter().any(|phrase| sentence.contains(phrase))
            && !DENIALS.iter().any(|phrase| sentence.contains(phrase))
    })
}

#[cfg(test)]
mod tests {
    use super::promises_for_ever;

    #[test]
    fn a_promise_without_end_is_heard_and_a_warranty_is_not() {
        for words in [
            "The ceramic discs are a lifetime item.",
            "They never wear out, that is the point of them",
            "Good for the life of the car!",
            "Fitted new pads. The discs don't wear.",
        ] {
            assert!(promises_for_ever(words), "{words}");
        }
        for words in [
            "A lifetime warranty is not offered on lifetime parts.",
            "The discs are not a lifetime item.",
            "They will not last as long as the car.",
            "Pads wear, discs wear less.",
            "",
        ] {
            assert!(!promises_for_ever(words), "{words}");
        }
    }
}
