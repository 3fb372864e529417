//! A firm's folder: its root, its issuer, its list of what is revoked, its people.
//!
//! ```text
//! root.pem  root.key.pem      the root; its key belongs on paper or a stick, away from here
//! issuer.pem  issuer.key.pem  signs people's certificates and the revocation list
//! crl.pem                     the revocation list
//! people/NAME.pem  people/NAME.key.pem
//! people/NAME.device.json     the row of records that NAME's device has frozen (see `device`)
//! ```
//! Certificates and the list are public; the keys are encrypted.

mod ask;
mod error;
mod found;
mod person;
mod revoke;
mod words;

pub use ask::{ask_certificate, certify_asked, keep_list, read_asked, take_certificate};
pub use error::FirmError;
pub use found::{Founded, found_firm};
pub use person::{Certified, CertifyRequest, certify_person};
pub use revoke::{RevokeRequest, Revoked, renew_revocation_list, revoke_certificate};
pub use words::fingerprint_words;

use std::path::{Path, PathBuf};

use seal::{
    certificate::Certificate,
    chain::Chain,
    digest::Sha256Digest,
    key::PrivateKey,
    key_file::{Passphrase, unlock_key},
    revocation::RevocationList,
    signature::Signer,
    trust::Trust,
    verdict::Check,
};

use crate::{
    whole_file::read_text,
    world::{Lock, World, WorldError},
};

/// More than any key, certificate or statement has.
const MOST_TEXT: u64 = 64 * 1024;
/// Twice the seal's limit, for base64 and line ends.
const MOST_LIST: u64 = 2 * 1024 * 1024;

/// A firm's folder as it lies on disk.
pub(crate) struct FirmFolder {
    folder: PathBuf,
    pub(crate) root: Certificate,
    pub(crate) issuer: Certificate,
}

impl FirmFolder {
    /// Reads the certificates of root and issuer; no key is opened.
    pub(crate) fn open(world: &dyn World, folder: &Path) -> Result<Self, FirmError> {
        let is_firm = |file: &str| world.exists(&folder.join(file)).map_err(WorldError::at("read", folder));
        if !is_firm("root.pem")? || !is_firm("issuer.pem")? {
            return Err(FirmError::NotAFirm { folder: folder.display().to_string() });
        }
        let root = read_certificate(world, &folder.join("root.pem"))?;
        let issuer = read_certificate(world, &folder.join("issuer.pem"))?;
        Ok(Self { folder: folder.to_owned(), root, issuer })
    }

    /// Keeps other processes from changing the firm until it is dropped.
    pub(crate) fn lock(&self, world: &dyn World) -> Result<Lock, WorldError> {
        let file = self.folder.join(".lock");
        world.lock(&file).map_err(WorldError::at("locked", &file))
    }

    pub(crate) fn unlock_issuer(&self, world: &dyn World, passphrase: &Passphrase) -> Result<PrivateKey, FirmError> {
        read_key(world, &self.folder.join("issuer.key.pem"), passphrase)
    }

    pub(crate) fn list_file(&self) -> PathBuf {
        self.folder.join("crl.pem")
    }

    pub(crate) fn read_list(&self, world: &dyn World) -> Result<RevocationList, FirmError> {
        let file = self.list_file();
        let text = read_text(world, &file, MOST_LIST)?;
        let refused = |cause| FirmError::List { file: file.display().to_string(), cause };
        let list = RevocationList::parse_pem(&text).map_err(refused)?;
        list.check(&self.issuer).map_err(refused)?;
        Ok(list)
    }

    pub(crate) fn person_file(&self, id: &PersonId, ending: &str) -> PathBuf {
        self.folder.join("people").join(format!("{id}.{ending}"))
    }

    pub(crate) fn read_person(&self, world: &dyn World, id: &PersonId) -> Result<Certificate, FirmError> {
        let file = self.person_file(id, "pem");
        if !world.exists(&file).map_err(WorldError::at("read", &file))? {
            let known = self.list_people(world)?.iter().map(ToString::to_string).collect();
            return Err(FirmError::NoSuchPerson { got: id.to_string(), known });
        }
        read_certificate(world, &file)
    }

    /// All whose certificate lies in the folder, by name.
    pub(crate) fn list_people(&self, world: &dyn World) -> Result<Vec<PersonId>, FirmError> {
        let folder = self.folder.join("people");
        let files = world.list_files(&folder).map_err(WorldError::at("read", &folder))?;
        let names = files.iter().filter_map(|file| file.file_name()?.to_str()?.strip_suffix(".pem")?.parse().ok());
        Ok(names.collect())
    }

    /// The person ready to sign at this time: the certificate must be valid and not revoked.
    pub(crate) fn open_signer(
        &self,
        world: &dyn World,
        id: &PersonId,
        passphrase: &Passphrase,
    ) -> Result<Signer, FirmError> {
        let certificate = self.read_person(world, id)?;
        let chain = Chain::new(certificate, self.issuer.clone(), self.root.clone())
            .map_err(|cause| FirmError::Chain { person: id.to_string(), cause })?;
        let list = self.read_list(world)?;
        let trust = Trust { roots: vec![self.root.clone()], revocation_lists: vec![list], ..Trust::at(world.now()) };
        if let Check::Failed(finding) | Check::NotChecked(finding) = trust.judge(&chain, None) {
            return Err(FirmError::MayNotSign { person: id.to_string(), code: finding.code, reason: finding.reason });
        }
        let key = read_key(world, &self.person_file(id, "key.pem"), passphrase)?;
        Signer::new(key, chain).map_err(|cause| FirmError::Signer { person: id.to_string(), cause })
    }
}

/// SHA-256 of a person's certificate, by which a log names it.
///
/// # Errors
/// [`FirmError`].
pub fn digest_certificate(world: &dyn World, folder: &Path, id: &PersonId) -> Result<Sha256Digest, FirmError> {
    Ok(Sha256Digest::of(FirmFolder::open(world, folder)?.read_person(world, id)?.as_der()))
}

fn read_certificate(world: &dyn World, file: &Path) -> Result<Certificate, FirmError> {
    let text = read_text(world, file, MOST_TEXT)?;
    Certificate::parse_pem(&text).map_err(|cause| FirmError::Certificate { file: file.display().to_string(), cause })
}

fn read_key(world: &dyn World, file: &Path, passphrase: &Passphrase) -> Result<PrivateKey, FirmError> {
    let text = read_text(world, file, MOST_TEXT)?;
    unlock_key(&text, passphrase).map_err(|cause| FirmError::Key { file: file.display().to_string(), cause })
}

/// The name of a person's files in the firm's folder.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct PersonId(String);

/// A name that cannot be one of a person's files.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("got the name {got:?} for a person's files, expected 1 to 64 of a-z, 0-9 and -, beginning with a letter")]
pub struct PersonIdError {
    /// What came.
    pub got: String,
}

impl std::str::FromStr for PersonId {
    type Err = PersonIdError;

    fn from_str(text: &str) -> Result<Self, PersonIdError> {
        let fits = |byte: u8| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'-';
        let begins = text.bytes().next().is_some_and(|byte| byte.is_ascii_lowercase());
        if begins && text.len() <= 64 && text.bytes().all(fits) {
            Ok(Self(text.to_owned()))
        } else {
            Err(PersonIdError { got: text.chars().take(80).collect() })
        }
    }
}

impl std::fmt::Display for PersonId {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.0)
    }
}

#[cfg(test)]
mod tests;
