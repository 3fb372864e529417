//! A certificate for a key that stays where it was made: asked for on a device, signed by the issuer elsewhere, taken in on
//! the device.
//!
//! ```text
//! asked/key.pem  asked/request.pem     until the certificate has come
//! ```

use std::path::Path;

use chrono::SubsecRound as _;
use seal::{
    certificate::{self, Certificate, CertificateAsked, Person},
    chain::Chain,
    digest::Fingerprint,
    key::PrivateKey,
    key_file::{Passphrase, lock_key},
    revocation::RevocationList,
};

use super::{Certified, FirmError, FirmFolder, MOST_TEXT, PersonId, read_key};
use crate::{
    whole_file::{Existing, read_text, write_whole},
    world::{Access, World, WorldError, seed_generator},
};

const REQUEST: &str = "request.pem";
const KEY: &str = "key.pem";
const END: &str = "-----END CERTIFICATE-----";

/// Makes a key in the folder and asks for a certificate for it; the request (PEM) comes back. Where the same person asked
/// there before, it is the same request.
///
/// # Errors
/// [`FirmError`].
pub fn ask_certificate(
    world: &dyn World,
    folder: &Path,
    person: &Person,
    passphrase: &Passphrase,
) -> Result<CertificateAsked, FirmError> {
    if let Some(before) = read_asked(world, folder)?.filter(|before| before.person() == person) {
        // Whoever asks again has the passphrase of the key that is there.
        read_key(world, &folder.join(KEY), passphrase)?;
        return Ok(before);
    }
    let mut rng = seed_generator(world)?;
    let key = PrivateKey::generate(&mut rng);
    let asked = CertificateAsked::sign(person, &key)?;
    let locked = lock_key(&key, passphrase, &mut rng).map_err(FirmError::NewKey)?;
    // The request last: without it nothing was asked.
    write_whole(world, &folder.join(KEY), locked.as_bytes(), Access::Private, Existing::Replace)?;
    write_whole(world, &folder.join(REQUEST), asked.to_pem().as_bytes(), Access::Shared, Existing::Replace)?;
    Ok(asked)
}

/// What was asked for in this folder and has not come yet.
///
/// # Errors
/// [`FirmError`].
pub fn read_asked(world: &dyn World, folder: &Path) -> Result<Option<CertificateAsked>, FirmError> {
    let file = folder.join(REQUEST);
    if !world.exists(&file).map_err(WorldError::at("read", &file))? {
        return Ok(None);
    }
    Ok(Some(CertificateAsked::parse_pem(&read_text(world, &file, MOST_TEXT)?)?))
}

/// Certifies the key that somebody asks for, as that person and in that role; the certificate and those above it (PEM) come
/// back. No private key but the issuer's is needed.
///
/// # Errors
/// [`FirmError`]: also for a request that names another firm.
pub fn certify_asked(
    world: &dyn World,
    folder: &Path,
    asked: &CertificateAsked,
    id: &PersonId,
    passphrase: &Passphrase,
) -> Result<(Certified, String), FirmError> {
    let firm = FirmFolder::open(world, folder)?;
    let _lock = firm.lock(world)?;
    let file = firm.person_file(id, "pem");
    if world.exists(&file).map_err(WorldError::at("read", &file))? {
        return Err(FirmError::PersonExists { person: id.to_string() });
    }
    let key = firm.unlock_issuer(world, passphrase)?;
    let organization = firm.issuer.subject().map_err(certificate::IssueError::from)?.organization;
    let person = asked.person();
    if person.organization != organization {
        return Err(FirmError::AskedOfAnother { got: person.organization.clone(), expected: organization });
    }
    let mut rng = seed_generator(world)?;
    let from = world.now().trunc_subsecs(0);
    let made = certificate::certify_person(&key, &firm.issuer, person, asked.key(), from, &mut rng)?;
    write_whole(world, &file, made.to_pem().as_bytes(), Access::Shared, Existing::Refuse)?;
    let chain = format!("{}{}{}", made.to_pem(), firm.issuer.to_pem(), firm.root.to_pem());
    Ok((describe(id, person, &made), chain))
}

fn describe(id: &PersonId, person: &Person, made: &Certificate) -> Certified {
    Certified {
        id: id.to_string(),
        name: person.name.clone(),
        organization: person.organization.clone(),
        role: person.role.name().to_owned(),
        fingerprint: made.fingerprint().to_string(),
        serial: made.serial(),
        valid_until: made.validity().1,
    }
}

/// Takes in the certificate that was asked for, with the firm's list of what is revoked: the key becomes that person's in the
/// firm's folder. A firm of another root that is there is moved aside and kept. None where nothing was asked for.
///
/// # Errors
/// [`FirmError`]: a chain that answers another request, that does not hold, or whose root is not the one that was shown when
/// the office let this device in.
pub fn take_certificate(
    world: &dyn World,
    (asked_in, folder): (&Path, &Path),
    (chain, list): (&str, &str),
    root: &Fingerprint,
) -> Result<Option<Certified>, FirmError> {
    let Some(asked) = read_asked(world, asked_in)? else { return Ok(None) };
    let refused = |what: &'static str| FirmError::NotWhatWasAsked { what };
    let blocks: Vec<&str> = chain.split_inclusive(END).map(str::trim).filter(|block| !block.is_empty()).collect();
    let [person, issuer, top] = blocks[..] else { return Err(refused("three certificates one after another")) };
    let parse = |pem: &str| Certificate::parse_pem(&format!("{pem}\n")).map_err(|_| refused("certificates in PEM"));
    let (person, issuer, top) = (parse(person)?, parse(issuer)?, parse(top)?);
    if top.fingerprint() != *root {
        return Err(refused("the root that the office showed when it let this device in"));
    }
    if !asked.is_answered_by(&person) {
        return Err(refused("the name, the role and the key that were asked for"));
    }
    let chain = Chain::new(person, issuer, top).map_err(|_| refused("certificates that vouch for each other"))?;
    let read = RevocationList::parse_pem(list).map_err(|_| refused("the firm's revocation list"))?;
    read.check(chain.issuer()).map_err(|_| refused("a revocation list of the same issuer"))?;

    let is_there = |file: &Path| world.exists(file).map_err(WorldError::at("read", file));
    if is_there(&folder.join("root.pem"))? && FirmFolder::open(world, folder)?.root.fingerprint() != *root {
        let aside = folder.with_file_name(format!("firm-before-{}", chain.person().serial()));
        world.rename(folder, &aside).map_err(WorldError::at("moved aside", folder))?;
    }
    let role = asked.person().role.name().to_lowercase();
    let mut number = 1;
    let id = loop {
        let name = if number == 1 { role.clone() } else { format!("{role}-{number}") };
        let id: PersonId = name.parse().map_err(|_| refused("a role"))?;
        if !is_there(&folder.join("people").join(format!("{id}.pem")))? {
            break id;
        }
        number += 1;
    };
    let put = |file: &str, text: &str, access| {
        write_whole(world, &folder.join(file), text.as_bytes(), access, Existing::Replace)
    };
    let key = read_text(world, &asked_in.join(KEY), MOST_TEXT)?;
    put(&format!("people/{id}.key.pem"), &key, Access::Private)?;
    put("crl.pem", list, Access::Shared)?;
    put("issuer.pem", &chain.issuer().to_pem(), Access::Shared)?;
    put("root.pem", &chain.root().to_pem(), Access::Shared)?;
    put(&format!("people/{id}.pem"), &chain.person().to_pem(), Access::Shared)?;
    world.remove_folder(asked_in);
    Ok(Some(describe(&id, asked.person(), chain.person())))
}

/// Keeps a later list of what is revoked, if it is this firm's. Whether it was kept.
///
/// # Errors
/// [`FirmError`].
pub fn keep_list(world: &dyn World, folder: &Path, list: &str) -> Result<bool, FirmError> {
    let firm = FirmFolder::open(world, folder)?;
    let Ok(read) = RevocationList::parse_pem(list) else { return Ok(false) };
    if read.check(&firm.issuer).is_err() || firm.read_list(world)?.number() >= read.number() {
        return Ok(false);
    }
    write_whole(world, &firm.list_file(), list.as_bytes(), Access::Shared, Existing::Replace)?;
    Ok(true)
}
