use std::path::Path;

use chrono::{SubsecRound as _, TimeDelta};
use seal::{
    certificate::{Firm, certify_issuer, create_root},
    key::PrivateKey,
    key_file::{Passphrase, lock_key},
    revocation::RevocationList,
};
use serde::Serialize;

use super::FirmError;
use crate::{
    whole_file::{folder_of, name_part},
    world::{Access, World, WorldError, seed_generator},
};

/// How long a revocation list is good for: an office that looks in once a month keeps it fresh.
pub(super) const LIST_DAYS: i64 = 35;

/// A firm that was set up.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Founded {
    /// The firm's name.
    pub firm: String,
    /// The folder.
    pub folder: String,
    /// The root key's fingerprint, which the firm tells its customers.
    pub root_fingerprint: String,
}

/// Sets up a firm in a new or empty folder: root, issuer, an empty revocation list. Both keys are locked with the
/// passphrase. The folder is there complete or not at all.
///
/// # Errors
/// [`FirmError`]; nothing is left behind but, after a crash, a hidden folder `.NAME.….part`.
pub fn found_firm(world: &dyn World, folder: &Path, name: &str, passphrase: &Passphrase) -> Result<Founded, FirmError> {
    check_empty(world, folder)?;
    let mut rng = seed_generator(world)?;
    let firm = Firm { name: name.to_owned() };
    let now = world.now().trunc_subsecs(0);
    let (root_key, issuer_key) = (PrivateKey::generate(&mut rng), PrivateKey::generate(&mut rng));
    let root = create_root(&root_key, &firm, now, &mut rng)?;
    let issuer = certify_issuer(&root_key, &root, &firm, issuer_key.public(), now, &mut rng)?;
    let list = RevocationList::publish(&issuer_key, &issuer, 1, (now, now + TimeDelta::days(LIST_DAYS)), &[])
        .map_err(|cause| FirmError::List { file: "crl.pem".into(), cause })?;
    let root_key_file = lock_key(&root_key, passphrase, &mut rng).map_err(FirmError::NewKey)?;
    let issuer_key_file = lock_key(&issuer_key, passphrase, &mut rng).map_err(FirmError::NewKey)?;

    let part = name_part(folder, &root.serial());
    let write = || -> std::io::Result<()> {
        world.create_folder(&part.join("people"))?;
        world.write_new(&part.join("root.key.pem"), root_key_file.as_bytes(), Access::Private)?;
        world.write_new(&part.join("issuer.key.pem"), issuer_key_file.as_bytes(), Access::Private)?;
        world.write_new(&part.join("crl.pem"), list.to_pem().as_bytes(), Access::Shared)?;
        world.write_new(&part.join("issuer.pem"), issuer.to_pem().as_bytes(), Access::Shared)?;
        world.write_new(&part.join("root.pem"), root.to_pem().as_bytes(), Access::Shared)?;
        world.sync_folder(&part)?;
        world.rename(&part, folder)?;
        world.sync_folder(folder_of(folder))
    };
    if let Err(error) = write() {
        world.remove_folder(&part);
        return Err(WorldError::at("set up", folder)(error).into());
    }
    Ok(Founded {
        firm: firm.name,
        folder: folder.display().to_string(),
        root_fingerprint: root.fingerprint().to_string(),
    })
}

fn check_empty(world: &dyn World, folder: &Path) -> Result<(), FirmError> {
    let at = || WorldError::at("set up", folder);
    if world.exists(folder).map_err(at())? && !world.is_empty(folder).map_err(at())? {
        return Err(FirmError::NotEmpty { folder: folder.display().to_string() });
    }
    Ok(())
}
