use model::{CanonicalError, ParseError, TextError};
use report::RenderError;
use seal::{certificate::Role, sealing::SealError};

use crate::{
    device::DeviceError, fault::Explained, firm::FirmError, photographs::PhotographsError, reckoning::InspectionError,
    world::WorldError,
};

/// Why an inspection was not sealed.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum SealReportError {
    /// A file or folder.
    #[error(transparent)]
    World(#[from] WorldError),
    /// The inspection.
    #[error(transparent)]
    Inspection(#[from] InspectionError),
    /// The firm, the person or the key.
    #[error(transparent)]
    Firm(#[from] FirmError),
    /// The photographs, or a wish to stop.
    #[error(transparent)]
    Photographs(#[from] PhotographsError),
    /// The device's row, or putting the report in its place.
    #[error(transparent)]
    Device(#[from] DeviceError),
    /// The person's part is another one.
    #[error("{person} is certified as {role}, expected {expected}: an inspector seals reports, a dealer statements")]
    Role {
        /// The person.
        person: String,
        /// The part.
        role: String,
        /// The part that it takes.
        expected: Role,
    },
    /// The inspection was made by somebody else.
    #[error("got {got:?} in {field}, expected {expected:?} as the certificate says: pages and signature must agree")]
    Author {
        /// The field.
        field: &'static str,
        /// What the inspection says.
        got: String,
        /// What the certificate says.
        expected: String,
    },
    /// The certificate's name cannot stand in a record.
    #[error("the name in the certificate cannot stand in a record: {0}")]
    AuthorText(#[source] TextError),
    /// The record has no canonical spelling.
    #[error(transparent)]
    Canonical(CanonicalError),
    /// A reader would refuse the record.
    #[error("the frozen record would be refused by its readers: {0}")]
    Record(#[source] ParseError),
    /// The pages.
    #[error("the pages could not be drawn: {0}")]
    Render(#[from] RenderError),
    /// The signature.
    #[error(transparent)]
    Seal(#[from] SealError),
}

impl Explained for SealReportError {
    fn code(&self) -> &'static str {
        match self {
            Self::World(error) => error.code(),
            Self::Inspection(error) => error.code(),
            Self::Firm(error) => error.code(),
            Self::Photographs(error) => error.code(),
            Self::Device(error) => error.code(),
            Self::Role { .. } => "role-may-not-seal",
            Self::Author { .. } => "author-differs",
            Self::AuthorText(_) => "author-name-refused",
            Self::Canonical(_) | Self::Record(_) => "record-refused",
            Self::Render(_) => "pages-not-drawn",
            Self::Seal(_) => "not-sealed",
        }
    }

    fn hint(&self) -> Option<String> {
        match self {
            Self::World(error) => error.hint(),
            Self::Inspection(error) => error.hint(),
            Self::Firm(error) => error.hint(),
            Self::Photographs(error) => error.hint(),
            Self::Device(error) => error.hint(),
            Self::Role { .. } | Self::Author { .. } => {
                Some("let whoever made it seal it, with their own key".to_owned())
            }
            Self::Canonical(_) | Self::Record(_) | Self::Seal(_) => {
                Some("this is a fault of the program: please report it with the inspection".to_owned())
            }
            Self::AuthorText(_) | Self::Render(_) => None,
        }
    }
}
