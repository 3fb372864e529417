use std::path::Path;

use chrono::{DateTime, SubsecRound as _, TimeDelta, Utc};
use seal::{
    key_file::Passphrase,
    revocation::{Reason, Revocation, RevocationList},
};
use serde::Serialize;

use super::{FirmError, FirmFolder, PersonId, found::LIST_DAYS};
use crate::{
    whole_file::{Existing, write_whole},
    world::{Access, World},
};

/// Whose certificate to revoke.
#[derive(Debug)]
pub struct RevokeRequest<'a> {
    /// The firm's folder.
    pub firm: &'a Path,
    /// The name of the person's files.
    pub person: &'a PersonId,
    /// Why.
    pub reason: Reason,
    /// Since when nothing that the key signed counts; now if not given.
    pub since: Option<DateTime<Utc>>,
    /// Opens the issuer's key.
    pub passphrase: &'a Passphrase,
}

/// A list that was published.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Revoked {
    /// The list's file.
    pub file: String,
    /// Its running number.
    pub number: u64,
    /// How many certificates are on it.
    pub revoked: usize,
    /// When the next list is due.
    pub next_update: DateTime<Utc>,
}

/// Revokes a person's certificate: publishes the firm's list anew with it. It cannot be taken back.
///
/// # Errors
/// [`FirmError`]; the old list stays until the new one is there whole.
pub fn revoke_certificate(world: &dyn World, request: &RevokeRequest<'_>) -> Result<Revoked, FirmError> {
    let firm = FirmFolder::open(world, request.firm)?;
    let _lock = firm.lock(world)?;
    let certificate = firm.read_person(world, request.person)?;
    let now = world.now();
    let since = request.since.unwrap_or(now).trunc_subsecs(0);
    if since > now {
        return Err(FirmError::RevokedInFuture { since });
    }
    let list = firm.read_list(world)?;
    if list.find_revocation(&certificate).is_some() {
        return Err(FirmError::RevokedAlready { person: request.person.to_string() });
    }
    let revocation = Revocation { serial: certificate.serial(), since, reason: request.reason };
    publish(world, &firm, &list, Some(revocation), request.passphrase)
}

/// Publishes the firm's list anew, unchanged but for its date, so that a reader sees that nothing was revoked since.
///
/// # Errors
/// [`FirmError`].
pub fn renew_revocation_list(world: &dyn World, firm: &Path, passphrase: &Passphrase) -> Result<Revoked, FirmError> {
    let firm = FirmFolder::open(world, firm)?;
    let _lock = firm.lock(world)?;
    let list = firm.read_list(world)?;
    publish(world, &firm, &list, None, passphrase)
}

fn publish(
    world: &dyn World,
    firm: &FirmFolder,
    list: &RevocationList,
    more: Option<Revocation>,
    passphrase: &Passphrase,
) -> Result<Revoked, FirmError> {
    let key = firm.unlock_issuer(world, passphrase)?;
    let revocations: Vec<Revocation> = list.list_revocations().into_iter().cloned().chain(more).collect();
    let now = world.now().trunc_subsecs(0);
    let file = firm.list_file();
    let validity = (now, now + TimeDelta::days(LIST_DAYS));
    let made = RevocationList::publish(&key, &firm.issuer, list.number() + 1, validity, &revocations)
        .map_err(|cause| FirmError::List { file: file.display().to_string(), cause })?;
    write_whole(world, &file, made.to_pem().as_bytes(), Access::Shared, Existing::Replace)?;
    Ok(Revoked {
        file: file.display().to_string(),
        number: made.number(),
        revoked: revocations.len(),
        next_update: made.next_update(),
    })
}
