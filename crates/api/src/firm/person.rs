use std::path::Path;

use chrono::{DateTime, SubsecRound as _, Utc};
use seal::{
    certificate::{self, Person, Role},
    key::PrivateKey,
    key_file::{Passphrase, lock_key},
};
use serde::Serialize;

use super::{FirmError, FirmFolder, PersonId};
use crate::{
    whole_file::{Existing, write_whole},
    world::{Access, World, WorldError, seed_generator},
};

/// Whom to certify.
#[derive(Debug)]
pub struct CertifyRequest<'a> {
    /// The firm's folder.
    pub firm: &'a Path,
    /// The name of the person's files.
    pub id: &'a PersonId,
    /// Given and family name, as reports will show it.
    pub name: &'a str,
    /// What the person may do.
    pub role: Role,
    /// Opens the issuer's key.
    pub firm_passphrase: &'a Passphrase,
    /// Locks the person's new key.
    pub person_passphrase: &'a Passphrase,
}

/// A person who was certified.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Certified {
    /// The name of the person's files.
    pub id: String,
    /// The person.
    pub name: String,
    /// The firm.
    pub organization: String,
    /// What the person may do.
    pub role: String,
    /// The key's fingerprint.
    pub fingerprint: String,
    /// The certificate's serial number.
    pub serial: String,
    /// The last instant of validity.
    pub valid_until: DateTime<Utc>,
}

/// Makes a key and a certificate for a person, valid for two years from now.
///
/// # Errors
/// [`FirmError`]. The certificate is written last: without it the person is not there.
pub fn certify_person(world: &dyn World, request: &CertifyRequest<'_>) -> Result<Certified, FirmError> {
    let firm = FirmFolder::open(world, request.firm)?;
    let _lock = firm.lock(world)?;
    let certificate_file = firm.person_file(request.id, "pem");
    if world.exists(&certificate_file).map_err(WorldError::at("read", &certificate_file))? {
        return Err(FirmError::PersonExists { person: request.id.to_string() });
    }
    let issuer_key = firm.unlock_issuer(world, request.firm_passphrase)?;
    let organization = firm.issuer.subject().map_err(certificate::IssueError::from)?.organization;
    let mut rng = seed_generator(world)?;
    let key = PrivateKey::generate(&mut rng);
    let person = Person { name: request.name.to_owned(), organization: organization.clone(), role: request.role };
    let from = world.now().trunc_subsecs(0);
    let made = certificate::certify_person(&issuer_key, &firm.issuer, &person, key.public(), from, &mut rng)?;
    let key_file = lock_key(&key, request.person_passphrase, &mut rng).map_err(FirmError::NewKey)?;
    // A key without its certificate is what a crash left; nothing was ever signed with it.
    write_whole(
        world,
        &firm.person_file(request.id, "key.pem"),
        key_file.as_bytes(),
        Access::Private,
        Existing::Replace,
    )?;
    write_whole(world, &certificate_file, made.to_pem().as_bytes(), Access::Shared, Existing::Refuse)?;
    Ok(Certified {
        id: request.id.to_string(),
        name: person.name,
        organization,
        role: request.role.name().to_owned(),
        fingerprint: made.fingerprint().to_string(),
        serial: made.serial(),
        valid_until: made.validity().1,
    })
}
