//! Vehicle identification numbers: ISO 3779's alphabet, 49 CFR 565's check digit.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A text that is no vehicle identification number.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum VinError {
    /// Not 17 characters.
    #[error("got {got} characters, expected 17")]
    Length {
        /// Characters that came.
        got: usize,
    },
    /// A character that the number never holds.
    #[error("got {got:?} at position {position}, expected a digit or a capital letter other than I, O and Q")]
    Character {
        /// The character that came.
        got: char,
        /// Its position, counted from 1.
        position: usize,
    },
    /// A number from North America whose ninth character is wrong.
    #[error("got check digit {got}, expected {expected} (49 CFR 565.15); compare the number with the plate")]
    CheckDigit {
        /// The ninth character.
        got: char,
        /// What the other sixteen call for.
        expected: char,
    },
}

/// A vehicle identification number.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "String", into = "String")]
#[schemars(with = "String", extend("pattern" = "^[0-9A-HJ-NPR-Z]{17}$"))]
pub struct Vin(String);

const WEIGHTS: [u32; 17] = [8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2];

fn transliterate(c: char) -> Option<u32> {
    match c {
        '0'..='9' => c.to_digit(10),
        'A'..='H' => Some(c as u32 - 'A' as u32 + 1),
        'J'..='N' => Some(c as u32 - 'J' as u32 + 1),
        'P' => Some(7),
        'R' => Some(9),
        'S'..='Z' => Some(c as u32 - 'S' as u32 + 2),
        _ => None,
    }
}

impl Vin {
    /// The number as text.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// Whether the number was given out in North America, where the ninth character is a check digit by law: first
    /// character 1, 4 or 5 United States, 2 Canada, 3 Mexico (ISO 3780's regions, second-hand).
    ///
    /// Other first characters may since have been given to North America too; none was found in a source, and a number
    /// that this does not know is not held to the check digit.
    pub fn is_north_american(&self) -> bool {
        matches!(self.0.as_bytes()[0], b'1'..=b'5')
    }

    /// The ninth character that the other sixteen call for (49 CFR 565.15).
    pub fn check_digit(&self) -> char {
        let sum: u32 = self.0.chars().zip(WEIGHTS).filter_map(|(c, weight)| Some(transliterate(c)? * weight)).sum();
        match sum % 11 {
            10 => 'X',
            digit => char::from_digit(digit, 10).unwrap_or('0'),
        }
    }

    /// Whether the ninth character agrees with the other sixteen.
    pub fn has_valid_check_digit(&self) -> bool {
        self.0.chars().nth(8) == Some(self.check_digit())
    }
}

impl TryFrom<String> for Vin {
    type Error = VinError;

    fn try_from(text: String) -> Result<Self, VinError> {
        let got = text.chars().count();
        if got != 17 {
            return Err(VinError::Length { got });
        }
        if let Some((i, got)) = text.chars().enumerate().find(|&(_, c)| transliterate(c).is_none()) {
            return Err(VinError::Character { got, position: i + 1 });
        }
        let vin = Self(text);
        if vin.is_north_american() && !vin.has_valid_check_digit() {
            let got = char::from(vin.0.as_bytes()[8]);
            return Err(VinError::CheckDigit { got, expected: vin.check_digit() });
        }
        Ok(vin)
    }
}

impl From<Vin> for String {
    fn from(vin: Vin) -> String {
        vin.0
    }
}

impl std::fmt::Display for Vin {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}
