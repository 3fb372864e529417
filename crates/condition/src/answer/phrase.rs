//! Turns of phrase that the sentences share.

use model::{CornerName, CornerReckoning, Decimal, Evidence, FaceName, Figure, PadName};

use crate::disc_part::parts;
use crate::explain::{evidence_of, plural};
use crate::number::{percent, set_thousands_apart};

/// "71 ± 9 % worn".
pub fn share(figure: &Figure) -> String {
    percent(figure.value, figure.uncertainty) + " % worn"
}

/// The pads of a corner with their figures.
pub fn pads(corner: &CornerReckoning) -> [(PadName, Option<&Figure>); 2] {
    [(PadName::Outer, corner.outer_pad.as_ref()), (PadName::Inner, corner.inner_pad.as_ref())]
}

/// What a disc's figures rest on, each once.
pub fn carriers(corner: &CornerReckoning) -> Vec<Evidence> {
    let mut found: Vec<Evidence> = Vec::new();
    for figure in parts(corner).into_iter().filter_map(|(_, figure)| figure) {
        found.extend(evidence_of(figure));
    }
    found
}

/// Both faces of a corner.
pub fn faces(corner: CornerName) -> Vec<Evidence> {
    FaceName::ALL.iter().map(|&face| Evidence::Face { corner, face }).collect()
}

/// "a, b and c".
pub fn list(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// "disc" or "discs", "is" or "are".
pub fn disc_is(count: usize) -> String {
    format!("disc{} {}", plural(count), if count == 1 { "is" } else { "are" })
}

/// The text with its first letter a capital.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// The text with its first letter small and without its full stop, to stand inside a sentence.
pub fn clause(sentence: &str) -> String {
    let text = sentence.trim_end_matches('.');
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_lowercase().chain(letters).collect())
}

/// A decimal with its thousands apart: `15 423.87`.
pub fn grouped(amount: Decimal) -> String {
    let text = amount.to_string();
    match text.split_once('.') {
        Some((whole, rest)) => format!("{}.{rest}", set_thousands_apart(whole)),
        None => set_thousands_apart(&text),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_have_their_thousands_apart() {
        for (amount, text) in
            [("0.13", "0.13"), ("999", "999"), ("1000.50", "1\u{202F}000.50"), ("1234567", "1\u{202F}234\u{202F}567")]
        {
            assert_eq!(grouped(amount.parse().unwrap()), text);
        }
    }

    #[test]
    fn lists_read_as_speech() {
        let words = |count: usize| ["a", "b", "c"][..count].iter().map(|&word| word.to_owned()).collect::<Vec<_>>();
        assert_eq!(
            [list(&words(0)), list(&words(1)), list(&words(2)), list(&words(3))],
            ["", "a", "a and b", "a, b and c"]
        );
        assert_eq!(clause("The disc is worn."), "the disc is worn");
        assert_eq!(capital("the disc"), "The disc");
    }
}
