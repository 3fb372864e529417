//! The keys of a firm of one, in the notebook.

use seal::{
    certificate::{Certificate, Role},
    key_file::Passphrase,
};

use notebook::FileAccess as _;

use super::{Door, Keys, KeysView, error::DoorError, room::at};
use crate::{
    CertifyRequest, PersonId, World as _, certify_person, fingerprint_words,
    firm::{FirmError, FirmFolder},
    found_firm,
    world::WorldError,
};

/// The name of the files of whoever signs on this device: `inspector`, and after each change of the key `inspector-2` and so
/// on. A device that the office let in as a dealer's or its own may have nobody but a dealer or the office.
pub(super) fn person(door: &Door) -> Result<Option<PersonId>, DoorError> {
    for role in ["inspector", "dealer", "office"] {
        if let Some(id) = newest(door, role)? {
            return Ok(Some(id));
        }
    }
    Ok(None)
}

/// Whoever was certified last in this role.
fn newest(door: &Door, role: &str) -> Result<Option<PersonId>, DoorError> {
    let (room, folder) = (door.room(), at("firm"));
    if !room.exists(&folder.join("root.pem")).map_err(WorldError::at("read", &folder))? {
        return Ok(None);
    }
    let people = FirmFolder::open(&room, &folder)?.list_people(&room)?;
    let named = people.into_iter().filter_map(|id| Some((number(role, &id)?, id)));
    Ok(named.max_by_key(|(number, _)| *number).map(|(_, id)| id))
}

/// The roots of firms that this device signed for before, in PEM.
pub(super) fn roots_before(door: &Door) -> Result<Vec<String>, DoorError> {
    let book = door.book();
    let mut roots = Vec::new();
    for path in book.files_below("firm-before-")?.iter().filter(|path| path.ends_with("/root.pem")) {
        roots.extend(book.file(path)?.and_then(|bytes| String::from_utf8(bytes).ok()));
    }
    Ok(roots)
}

/// The number of the person's key in this role; none for another role.
fn number(role: &str, id: &PersonId) -> Option<u32> {
    let id = id.to_string();
    match id.strip_prefix(role)? {
        "" => Some(1),
        rest => rest.strip_prefix('-')?.parse().ok(),
    }
}

fn named(role: &str, number: u32) -> PersonId {
    let id = if number == 1 { role.to_owned() } else { format!("{role}-{number}") };
    id.parse().expect("lower-case letters, a dash and digits")
}

/// Who signs condition statements: the same person, certified besides as a dealer when the first is signed, and anew
/// after each change of the key; where the firm's issuer is elsewhere, whom the office certified as a dealer.
pub(super) fn dealer(door: &Door, passphrase: &Passphrase) -> Result<PersonId, DoorError> {
    if view(door)?.keys.is_some_and(|keys| keys.by_office) {
        return newest(door, "dealer")?.ok_or(DoorError::NoDealer);
    }
    let (Some(inspector), Some(keys)) = (person(door)?, view(door)?.keys) else { return Err(DoorError::NoKeys) };
    let id = named("dealer", number("inspector", &inspector).unwrap_or(1));
    let (room, folder) = (door.room(), at("firm"));
    if !FirmFolder::open(&room, &folder)?.list_people(&room)?.contains(&id) {
        certify(door, &id, &keys.inspector, Role::Dealer, passphrase)?;
    }
    Ok(id)
}

pub(super) fn view(door: &Door) -> Result<KeysView, DoorError> {
    let Some(person) = person(door)? else { return Ok(KeysView { keys: None }) };
    let (room, folder) = (door.room(), at("firm"));
    let firm = FirmFolder::open(&room, &folder)?;
    let certificate: Certificate = firm.read_person(&room, &person)?;
    let subject = certificate.subject().map_err(seal::certificate::IssueError::from).map_err(FirmError::from)?;
    let root = firm.root.fingerprint();
    Ok(KeysView {
        keys: Some(Keys {
            firm: subject.organization,
            inspector: subject.name,
            root_fingerprint: root.to_string(),
            root_words: fingerprint_words(&root),
            root_pem: firm.root.to_pem(),
            fingerprint: certificate.fingerprint().to_string(),
            valid_until: certificate.validity().1.to_rfc3339(),
            by_office: !room.exists(&folder.join("issuer.key.pem")).map_err(WorldError::at("read", &folder))?,
        }),
    })
}

/// Who writes in this notebook, once there are keys.
pub(super) fn inspector(door: &Door) -> Result<Option<String>, DoorError> {
    Ok(door.book().kept("inspector")?)
}

pub(super) fn make(door: &Door, firm: &str, inspector: &str, passphrase: String) -> Result<KeysView, DoorError> {
    let (room, folder) = (door.room(), at("firm"));
    let passphrase = Passphrase::from(passphrase);
    // A firm whose inspector is missing is what a killed process left.
    if !room.exists(&folder.join("root.pem")).map_err(WorldError::at("read", &folder))? {
        found_firm(&room, &folder, firm, &passphrase)?;
    }
    certify(door, &named("inspector", 1), inspector, Role::Inspector, &passphrase)?;
    door.book().keep("inspector", inspector)?;
    view(door)
}

/// A new key for the same inspector under the same root. What the old one signed stays signed.
pub(super) fn change(door: &Door, passphrase: String) -> Result<KeysView, DoorError> {
    let (Some(old), Some(keys)) = (person(door)?, view(door)?.keys) else { return Err(DoorError::NoKeys) };
    let next = named("inspector", number("inspector", &old).unwrap_or(1) + 1);
    certify(door, &next, &keys.inspector, Role::Inspector, &Passphrase::from(passphrase))?;
    view(door)
}

fn certify(door: &Door, id: &PersonId, name: &str, role: Role, passphrase: &Passphrase) -> Result<(), DoorError> {
    let request = CertifyRequest {
        firm: &at("firm"),
        id,
        name,
        role,
        firm_passphrase: passphrase,
        person_passphrase: passphrase,
    };
    certify_person(&door.room(), &request)?;
    Ok(())
}
