//! Text that people write: one line, or a note of several.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Text that cannot be kept as it came.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum TextError {
    /// Nothing but white space.
    #[error("got an empty text, expected at least one letter")]
    Empty,
    /// Longer than the field allows.
    #[error("got {got} characters, expected at most {most}; shorten it or split it over several notes")]
    TooLong {
        /// Characters that came.
        got: usize,
        /// Characters that are accepted.
        most: usize,
    },
    /// A character that no printer shows, or that turns the reading direction.
    #[error("got the invisible character U+{code:04X} at position {at}, expected printable text")]
    Invisible {
        /// The character's code point.
        code: u32,
        /// Its place, counted in characters from 0.
        at: usize,
    },
}

fn check(text: &str, most: usize, lines: bool) -> Result<(), TextError> {
    let got = text.chars().count();
    if got > most {
        return Err(TextError::TooLong { got, most });
    }
    if text.trim().is_empty() {
        return Err(TextError::Empty);
    }
    match text.chars().enumerate().find(|&(_, c)| is_invisible(c) && !(lines && c == '\n')) {
        Some((at, c)) => Err(TextError::Invisible { code: c.into(), at }),
        None => Ok(()),
    }
}

/// Control characters, and the ones that reorder, join or hide what stands around them: in a document
/// that people rely on, what is stored must be what is seen.
fn is_invisible(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{200B}'..='\u{200F}' | '\u{2028}'..='\u{202E}' | '\u{2060}'..='\u{206F}' | '\u{FEFF}' | '\u{FFF9}'..='\u{FFFB}' | '\u{FFFE}' | '\u{FFFF}' | '\u{E0000}'..='\u{E007F}')
}

/// Whether a text that a program made may stand in a record: printable, and no longer than any that ours makes.
pub(crate) fn check_made(text: &str) -> Result<(), TextError> {
    const MOST: usize = 20_000;
    check(text, MOST, false)
}

/// For the schema: text without the characters of [`is_invisible`]. Those beyond the basic plane are left to the door,
/// since the dialects of regular expressions do not agree on how to write them.
const ONE_LINE: &str =
    r"^[^\u0000-\u001F\u007F-\u009F\u200B-\u200F\u2028-\u202E\u2060-\u206F\uFEFF\uFFF9-\uFFFB\uFFFE\uFFFF]*$";
/// The same with line feeds.
const LINES: &str = r"^[^\u0000-\u0009\u000B-\u001F\u007F-\u009F\u200B-\u200F\u2028-\u202E\u2060-\u206F\uFEFF\uFFF9-\uFFFB\uFFFE\uFFFF]*$";
/// For the schema: at least one character that is no white space.
const NOT_BLANK: &str = r"\S";

macro_rules! text {
    ($(#[$doc:meta])* $name:ident, $most:literal, $lines:literal, $pattern:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
        #[serde(try_from = "String", into = "String")]
        #[schemars(with = "String", extend("minLength" = 1, "maxLength" = $most, "pattern" = $pattern, "allOf" = [{ "pattern": NOT_BLANK }]))]
        pub struct $name(String);

        impl $name {
            /// The most characters that it holds.
            pub const MOST: usize = $most;

            /// The text as it was written.
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl TryFrom<String> for $name {
            type Error = TextError;

            fn try_from(text: String) -> Result<Self, TextError> {
                check(&text, $most, $lines)?;
                Ok(Self(text))
            }
        }

        impl TryFrom<&str> for $name {
            type Error = TextError;

            fn try_from(text: &str) -> Result<Self, TextError> {
                Self::try_from(text.to_owned())
            }
        }

        impl From<$name> for String {
            fn from(text: $name) -> String {
                text.0
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(&self.0)
            }
        }
    };
}

text!(
    /// One line of text: a name, a place, a short reason.
    Line, 200, false, ONE_LINE
);
text!(
    /// A note of several lines.
    Note, 8_000, true, LINES
);
