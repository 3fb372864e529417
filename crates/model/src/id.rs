//! Names that machines give: digests, devices, inspections, labels inside an inspection.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use sha2::Digest as _;

/// A name or digest that is not of its form.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("got {got:?}, expected {expected}")]
pub struct IdError {
    /// What came, cut to 80 characters.
    pub got: String,
    /// The form that is accepted.
    pub expected: &'static str,
}

fn refuse(got: &str, expected: &'static str) -> IdError {
    IdError { got: got.chars().take(80).collect(), expected }
}

macro_rules! hex_bytes {
    ($(#[$doc:meta])* $name:ident, $len:literal, $pattern:literal, $expected:literal) => {
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
        #[serde(try_from = "String", into = "String")]
        #[schemars(with = "String", extend("pattern" = $pattern))]
        pub struct $name([u8; $len]);

        impl $name {
            /// Takes the bytes as they are.
            pub const fn new(bytes: [u8; $len]) -> Self {
                Self(bytes)
            }

            /// The bytes.
            pub const fn as_bytes(&self) -> &[u8; $len] {
                &self.0
            }
        }

        impl TryFrom<String> for $name {
            type Error = IdError;

            fn try_from(text: String) -> Result<Self, IdError> {
                let mut bytes = [0; $len];
                parse_hex(&text, &mut bytes).map(|()| Self(bytes)).ok_or_else(|| refuse(&text, $expected))
            }
        }

        impl From<$name> for String {
            fn from(id: $name) -> String {
                id.to_string()
            }
        }

        impl std::str::FromStr for $name {
            type Err = IdError;

            fn from_str(text: &str) -> Result<Self, IdError> {
                Self::try_from(text.to_owned())
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                let mut digits = [0; 2 * $len];
                f.write_str(base16ct::lower::encode_str(&self.0, &mut digits).map_err(|_| std::fmt::Error)?)
            }
        }

        impl std::fmt::Debug for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                write!(f, "{self}")
            }
        }
    };
}

/// Fills `bytes` from lower-case hexadecimal digits; nothing when the length or a digit is wrong.
fn parse_hex(text: &str, bytes: &mut [u8]) -> Option<()> {
    let read = (text.len() == bytes.len() * 2).then(|| base16ct::lower::decode(text, bytes).ok())?;
    read.map(|_| ())
}

hex_bytes!(
    /// A SHA-256 digest (FIPS 180-4).
    Sha256, 32, "^[0-9a-f]{64}$", "64 lower-case hexadecimal digits"
);
hex_bytes!(
    /// 128 random bits in a record, so that nobody can find out its contents by trying digests.
    Salt, 16, "^[0-9a-f]{32}$", "32 lower-case hexadecimal digits"
);

impl Sha256 {
    /// The digest of these bytes.
    pub fn of(bytes: &[u8]) -> Self {
        Self(sha2::Sha256::digest(bytes).into())
    }

    /// The first 80 bits in five groups of four digits: short enough to be read out and typed.
    pub fn short(&self) -> String {
        let digits = self.to_string();
        (0..5).map(|i| &digits[i * 4..i * 4 + 4]).collect::<Vec<_>>().join(" ")
    }
}

macro_rules! name {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
        #[serde(try_from = "String", into = "String")]
        #[schemars(with = "String", extend("pattern" = "^[a-z0-9][a-z0-9_-]{0,63}$"))]
        pub struct $name(String);

        impl $name {
            /// The name as text.
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl TryFrom<String> for $name {
            type Error = IdError;

            fn try_from(text: String) -> Result<Self, IdError> {
                let fits = |(i, b): (usize, u8)| matches!(b, b'a'..=b'z' | b'0'..=b'9') || (i > 0 && matches!(b, b'_' | b'-'));
                if (1..=64).contains(&text.len()) && text.bytes().enumerate().all(fits) {
                    Ok(Self(text))
                } else {
                    Err(refuse(&text, "1 to 64 of a-z, 0-9, - and _, beginning with a letter or digit"))
                }
            }
        }

        impl From<$name> for String {
            fn from(id: $name) -> String {
                id.0
            }
        }

        impl std::str::FromStr for $name {
            type Err = IdError;

            fn from_str(text: &str) -> Result<Self, IdError> {
                Self::try_from(text.to_owned())
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(&self.0)
            }
        }
    };
}

name!(
    /// A device that numbers its records without gaps.
    DeviceId
);
name!(
    /// One inspection of one car on one day.
    InspectionId
);
name!(
    /// The name of a reading, a photograph or a recording inside its inspection.
    Label
);
