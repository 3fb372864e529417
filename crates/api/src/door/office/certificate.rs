//! A certificate from the office for a key that stays here.

use seal::{
    certificate::{Certificate, Person, Role},
    key_file::Passphrase,
};
use sync::content_digest;

use super::{
    super::{AskedView, Door, Reply, error::DoorError, room::at},
    ROOT, line, request,
};
use crate::{
    fingerprint_words,
    firm::{self, FirmError},
};

/// Where what was asked for lies until it has come.
const ASKED: &str = "asked";

/// What was asked for and has not come yet.
pub(super) fn asked(door: &Door) -> Result<Option<AskedView>, DoorError> {
    let asked = firm::read_asked(&door.room(), &at(ASKED))?;
    Ok(asked.map(|asked| {
        let (person, fingerprint) = (asked.person(), asked.key().fingerprint());
        AskedView {
            name: person.name.clone(),
            role: person.role.name().to_owned(),
            words: fingerprint_words(&fingerprint),
            fingerprint: fingerprint.to_string(),
        }
    }))
}

/// Makes a key, and the request with which the office is asked to have it certified.
pub(in super::super) fn ask_certificate(
    door: &Door,
    name: &str,
    role: &str,
    passphrase: String,
) -> Result<Reply, DoorError> {
    let line = line(door)?;
    let Some(root) = door.book().kept(ROOT)?.filter(|pem| !pem.is_empty()) else {
        return Err(DoorError::NotJoined("no office that shows its root lets this device in".to_owned()));
    };
    let unfit = |what: &str| DoorError::Unfit(what.to_owned());
    let root = Certificate::parse_pem(&root).map_err(|_| unfit("the office's root is no certificate"))?;
    let organization = root.subject().map_err(|_| unfit("the office's root names no firm"))?.organization;
    let role = Role::parse(role).ok_or_else(|| unfit("the role is none of Inspector, Dealer and Office"))?;
    let person = Person { name: name.trim().to_owned(), organization, role };
    let asked = firm::ask_certificate(&door.room(), &at(ASKED), &person, &Passphrase::from(passphrase))?;
    let body = asked.to_pem().into_bytes();
    request(line, ("POST", "v1/certificate".to_owned()), Some(content_digest(&body)), body)
}

/// Takes in what the office gave, or its newer list of what is revoked. Whether there is a new certificate now.
pub(super) fn take_given(door: &Door, chain: Option<&str>, list: Option<&str>) -> Result<bool, DoorError> {
    let (room, folder) = (door.room(), at("firm"));
    let (Some(chain), Some(list)) = (chain, list) else { return Ok(false) };
    let root = door.book().kept(ROOT)?.unwrap_or_default();
    let root = Certificate::parse_pem(&root)
        .map_err(|cause| FirmError::Certificate { file: "the office's root".to_owned(), cause })?;
    let given = firm::take_certificate(&room, (&at(ASKED), &folder), (chain, list), &root.fingerprint())?;
    if let Some(certified) = &given {
        door.book().keep("inspector", &certified.name)?;
    } else {
        firm::keep_list(&room, &folder, list)?;
    }
    Ok(given.is_some())
}
