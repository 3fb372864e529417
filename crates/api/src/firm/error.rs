use seal::{
    certificate::{AskedError, CertificateError, IssueError},
    chain::ChainFault,
    key_file::KeyFileError,
    revocation::RevocationError,
    signature::SignerError,
};

use crate::{fault::Explained, firm::PersonIdError, world::WorldError};

/// Why a firm was not set up, or could not be used.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum FirmError {
    /// A file or folder.
    #[error(transparent)]
    World(#[from] WorldError),
    /// A new firm needs a new folder.
    #[error("{folder} holds something already")]
    NotEmpty {
        /// The folder.
        folder: String,
    },
    /// No firm was set up there.
    #[error("{folder} is not a firm's folder: it has no root.pem or no issuer.pem")]
    NotAFirm {
        /// The folder.
        folder: String,
    },
    /// A certificate.
    #[error("{file} cannot be used: {cause}")]
    Certificate {
        /// Its file.
        file: String,
        /// Why.
        #[source]
        cause: CertificateError,
    },
    /// A key.
    #[error("{file} cannot be opened: {cause}")]
    Key {
        /// Its file.
        file: String,
        /// Why.
        #[source]
        cause: KeyFileError,
    },
    /// A new key.
    #[error("a key cannot be locked: {0}")]
    NewKey(#[source] KeyFileError),
    /// The revocation list.
    #[error("{file} cannot be used: {cause}")]
    List {
        /// Its file.
        file: String,
        /// Why.
        #[source]
        cause: RevocationError,
    },
    /// A certificate was not made.
    #[error("no certificate was made: {0}")]
    Issue(#[from] IssueError),
    /// A name that cannot be one of a person's files.
    #[error(transparent)]
    PersonId(#[from] PersonIdError),
    /// The name is taken.
    #[error("there is a certificate for {person} already")]
    PersonExists {
        /// The name.
        person: String,
    },
    /// Nobody has this name.
    #[error("there is no certificate for {got} in this firm")]
    NoSuchPerson {
        /// What came.
        got: String,
        /// Whose certificates there are.
        known: Vec<String>,
    },
    /// The certificates in the folder do not belong together.
    #[error("the certificates of {person} do not belong together: {cause}")]
    Chain {
        /// The person.
        person: String,
        /// Why.
        #[source]
        cause: ChainFault,
    },
    /// Key and certificate do not belong together.
    #[error("{person} cannot sign: {cause}")]
    Signer {
        /// The person.
        person: String,
        /// Why.
        #[source]
        cause: SignerError,
    },
    /// The certificate is expired or revoked.
    #[error("{person} may not sign: {reason}")]
    MayNotSign {
        /// The person.
        person: String,
        /// The check's code.
        code: &'static str,
        /// The check's reason.
        reason: String,
    },
    /// A request for a certificate.
    #[error("the request for a certificate cannot be used: {0}")]
    Asked(#[from] AskedError),
    /// A request that names another firm.
    #[error("the request names the firm {got:?}, and this is {expected:?}")]
    AskedOfAnother {
        /// The firm that it names.
        got: String,
        /// This firm.
        expected: String,
    },
    /// What came is not what was asked for.
    #[error("what the office gave was not taken: expected {what}")]
    NotWhatWasAsked {
        /// What was expected.
        what: &'static str,
    },
    /// The certificate is on the list already.
    #[error("the certificate of {person} is revoked already")]
    RevokedAlready {
        /// The person.
        person: String,
    },
    /// A revocation for a time that is still to come.
    #[error("got {since} as the start of the revocation, expected no later than now")]
    RevokedInFuture {
        /// What came.
        since: chrono::DateTime<chrono::Utc>,
    },
}

impl Explained for FirmError {
    fn code(&self) -> &'static str {
        match self {
            Self::World(error) => error.code(),
            Self::NotEmpty { .. } => "folder-not-empty",
            Self::NotAFirm { .. } => "not-a-firm",
            Self::Certificate { .. } => "certificate-refused",
            Self::Key { cause: KeyFileError::WrongPassphrase, .. } => "wrong-passphrase",
            Self::Key { .. } => "key-refused",
            Self::NewKey(KeyFileError::PassphraseTooShort { .. }) => "passphrase-too-short",
            Self::NewKey(_) => "key-not-locked",
            Self::List { .. } => "revocation-list-refused",
            Self::Issue(_) => "certificate-not-made",
            Self::PersonId(_) => "person-name",
            Self::PersonExists { .. } => "person-exists",
            Self::NoSuchPerson { .. } => "no-such-person",
            Self::Chain { .. } => "certificates-do-not-fit",
            Self::Signer { .. } => "key-does-not-fit",
            Self::MayNotSign { code, .. } => code,
            Self::Asked(_) => "request-refused",
            Self::AskedOfAnother { .. } => "request-of-another-firm",
            Self::NotWhatWasAsked { .. } => "certificate-not-taken",
            Self::RevokedAlready { .. } => "revoked-already",
            Self::RevokedInFuture { .. } => "revoked-in-future",
        }
    }

    fn hint(&self) -> Option<String> {
        let hint = match self {
            Self::World(error) => return error.hint(),
            Self::NotEmpty { .. } => "name a folder that is empty or not there yet",
            Self::NotAFirm { .. } => "set the firm up first, or look at the spelling of the folder",
            Self::Key { cause: KeyFileError::WrongPassphrase, .. } => "try again; each key has its own passphrase",
            Self::NewKey(KeyFileError::PassphraseTooShort { .. }) => "choose several words",
            Self::Certificate { .. } | Self::Key { .. } | Self::List { .. } => {
                "put the file back from a copy; it is used as it was written, or not at all"
            }
            Self::Chain { .. } | Self::Signer { .. } => {
                "put certificate and key back from one copy, or have the office certify a new key"
            }
            Self::PersonExists { .. } => "choose another name for the files; a renewed certificate gets its own",
            Self::NoSuchPerson { known, .. } if known.is_empty() => "certify the person first",
            Self::NoSuchPerson { known, .. } => return Some(format!("there are: {}", known.join(", "))),
            Self::MayNotSign { code: "expired", .. } => "have the office certify the person again, under another name",
            Self::MayNotSign { .. } => "ask the office for another certificate",
            Self::NotWhatWasAsked { .. } => "ask the office to give the certificate once more",
            Self::AskedOfAnother { .. } => "let the device ask again, once it was let in by this firm's office",
            _ => return None,
        };
        Some(hint.to_owned())
    }
}
