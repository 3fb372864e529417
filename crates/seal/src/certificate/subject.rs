//! Whom a certificate names.

use std::fmt;

use const_oid::{
    ObjectIdentifier,
    db::rfc4519::{COMMON_NAME, ORGANIZATION_NAME, ORGANIZATIONAL_UNIT_NAME},
};
use der::{Any, Decode as _, Encode as _, Tag, asn1::SetOfVec, asn1::Utf8StringRef};
use x509_cert::{
    attr::AttributeTypeAndValue,
    name::{Name, RelativeDistinguishedName},
};

/// What a person may do with the key: it stands in the certificate, so a reader sees it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// Inspects and seals reports.
    Inspector,
    /// Answers with a condition statement.
    Dealer,
    /// Withdraws and supersedes.
    Office,
}

impl Role {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Inspector, Self::Dealer, Self::Office];

    /// As it stands in the certificate's organizational unit.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Inspector => "Inspector",
            Self::Dealer => "Dealer",
            Self::Office => "Office",
        }
    }

    /// Reads exactly what [`Role::name`] writes.
    pub fn parse(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|role| role.name() == name)
    }
}

impl fmt::Display for Role {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// A person to be certified: all three parts of the subject that a reader will see.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Person {
    /// Given and family name.
    pub name: String,
    /// The firm the person works for.
    pub organization: String,
    /// What the person may do.
    pub role: Role,
}

/// The subject of a certificate: exactly a common name, an organization and, for a person, a role.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Subject {
    /// The common name.
    pub name: String,
    /// The organization.
    pub organization: String,
    /// The organizational unit, for a person.
    pub role: Option<Role>,
}

impl fmt::Display for Subject {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}, {}", self.name, self.organization)?;
        self.role.map_or(Ok(()), |role| write!(f, " ({role})"))
    }
}

impl Subject {
    /// Reads a name of our profile: O, then OU for a person, then CN; one of each, UTF-8, printable.
    pub(crate) fn read(name: &Name) -> Result<Self, SubjectError> {
        let mut parts = [None, None, None];
        let kinds = [ORGANIZATION_NAME, ORGANIZATIONAL_UNIT_NAME, COMMON_NAME];
        let mut next = 0;
        for relative in name.iter_rdn() {
            let mut attributes = relative.iter();
            let (Some(attribute), None) = (attributes.next(), attributes.next()) else {
                return Err(SubjectError::Shape);
            };
            let at = kinds.iter().position(|kind| *kind == attribute.oid).ok_or(SubjectError::Shape)?;
            if at < next {
                return Err(SubjectError::Shape);
            }
            next = at + 1;
            let text: Utf8StringRef<'_> = attribute.value.decode_as().map_err(|_| SubjectError::Shape)?;
            parts[at] = Some(check_text(text.as_str())?.to_owned());
        }
        let [Some(organization), unit, Some(name)] = parts else { return Err(SubjectError::Shape) };
        let role = unit.map(|unit| Role::parse(&unit).ok_or(SubjectError::UnknownRole { got: unit })).transpose()?;
        Ok(Self { name, organization, role })
    }

    pub(crate) fn to_name(&self) -> Result<Name, SubjectError> {
        let mut parts = vec![(ORGANIZATION_NAME, self.organization.as_str())];
        parts.extend(self.role.map(|role| (ORGANIZATIONAL_UNIT_NAME, role.name())));
        parts.push((COMMON_NAME, self.name.as_str()));
        let relatives = parts
            .into_iter()
            .map(|(kind, text)| relative_name(kind, check_text(text)?))
            .collect::<Result<Vec<_>, SubjectError>>()?;
        let der = relatives.to_der().map_err(|_| SubjectError::Shape)?;
        Name::from_der(&der).map_err(|_| SubjectError::Shape)
    }
}

fn relative_name(kind: ObjectIdentifier, text: &str) -> Result<RelativeDistinguishedName, SubjectError> {
    let value = Any::new(Tag::Utf8String, text.as_bytes()).map_err(|_| SubjectError::Shape)?;
    let mut set = SetOfVec::new();
    set.insert(AttributeTypeAndValue { oid: kind, value }).map_err(|_| SubjectError::Shape)?;
    Ok(set.into())
}

/// RFC 5280's upper bound for these attributes, in characters.
const MOST_CHARACTERS: usize = 64;

/// Refuses text that looks like other text: control and invisible characters, those that turn the direction of
/// writing, and blanks at the ends.
fn check_text(text: &str) -> Result<&str, SubjectError> {
    let got = text.chars().count();
    if got == 0 || got > MOST_CHARACTERS {
        return Err(SubjectError::Length { got });
    }
    let invisible = |c: char| {
        c.is_control()
            || (c.is_whitespace() && c != ' ')
            || matches!(c, '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
                | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e007f}')
    };
    match text.chars().find(|c| invisible(*c)) {
        Some(found) => Err(SubjectError::Invisible { found }),
        None if text.trim() != text => Err(SubjectError::Blank),
        None => Ok(text),
    }
}

/// Why a subject was refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum SubjectError {
    /// Other parts, another order, doubled parts, or another kind of string.
    #[error("a subject of another shape, expected organization, role for a person, and name, once each")]
    Shape,
    /// An empty or overlong part.
    #[error("a name of {got} characters, expected 1 to {MOST_CHARACTERS}")]
    Length {
        /// Its length in characters.
        got: usize,
    },
    /// A character that a reader cannot see, or that turns the direction of writing.
    #[error("a name with the invisible character U+{:04X}", u32::from(*found))]
    Invisible {
        /// The first such character.
        found: char,
    },
    /// A blank at the start or the end.
    #[error("a name with a blank at its start or end")]
    Blank,
    /// A role that we do not know.
    #[error("the role `{got}`, expected Inspector, Dealer or Office")]
    UnknownRole {
        /// The role as written.
        got: String,
    },
}
