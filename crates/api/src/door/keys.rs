//! The keys of a firm of one, in the notebook.

use seal::{
    certificate::{Certificate, Role},
    key_file::Passphrase,
};

use super::{Door, Keys, KeysView, error::DoorError, room::at};
use crate::{
    CertifyRequest, PersonId, World as _, certify_person,
    firm::{FirmError, FirmFolder},
    found_firm,
    world::WorldError,
};

/// The name of the inspector's files.
pub(super) fn person() -> PersonId {
    "inspector".parse().expect("lower-case letters")
}

pub(super) fn view(door: &Door) -> Result<KeysView, DoorError> {
    let (room, folder) = (door.room(), at("firm"));
    let person_file = at("firm/people/inspector.pem");
    if !room.exists(&person_file).map_err(WorldError::at("read", &person_file))? {
        return Ok(KeysView { keys: None });
    }
    let firm = FirmFolder::open(&room, &folder)?;
    let certificate: Certificate = firm.read_person(&room, &person())?;
    let subject = certificate.subject().map_err(seal::certificate::IssueError::from).map_err(FirmError::from)?;
    Ok(KeysView {
        keys: Some(Keys {
            firm: subject.organization,
            inspector: subject.name,
            root_fingerprint: firm.root.fingerprint().to_string(),
            root_pem: firm.root.to_pem(),
            valid_until: certificate.validity().1.to_rfc3339(),
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
    certify_person(
        &room,
        &CertifyRequest {
            firm: &folder,
            id: &person(),
            name: inspector,
            role: Role::Inspector,
            firm_passphrase: &passphrase,
            person_passphrase: &passphrase,
        },
    )?;
    door.book().keep("inspector", inspector)?;
    view(door)
}
