use std::path::absolute;

use api::{
    CertifyRequest, Fault, RevokeRequest, Revoked, certify_person, found_firm, renew_revocation_list,
    revoke_certificate,
};

use super::WORLD;
use crate::{
    answer::Answer,
    arguments::{Certify, Found, RenewList, Revoke},
    passphrase,
};

pub fn found(arguments: &Found) -> Result<Answer, Fault> {
    let passphrase = passphrase::choose("the firm's keys", arguments.passphrase.passphrase_file.as_deref())?;
    // `.` has no name of its own beside which a folder could be made.
    let folder = absolute(&arguments.folder).unwrap_or_else(|_| arguments.folder.clone());
    let founded = found_firm(&WORLD, &folder, &arguments.name, &passphrase)?;
    let text = format!(
        "{} is set up in {}.\n\n\
         The root's fingerprint, which your customers compare:\n  {}\n\n\
         Give root.pem to your customers. Keep root.key.pem away from this machine: on paper or a stick in a safe; it is \
         needed only to renew the issuer.\n\
         Next: rimside certify --firm {} --id PERSON --name NAME --role inspector\n",
        founded.firm,
        founded.folder,
        founded.root_fingerprint,
        arguments.folder.display(),
    );
    Ok(Answer::told(text, &founded))
}

pub fn renew_list(arguments: &RenewList) -> Result<Answer, Fault> {
    let passphrase = passphrase::ask("the firm's issuer", arguments.passphrase.passphrase_file.as_deref())?;
    let made = renew_revocation_list(&WORLD, &arguments.folder, &passphrase)?;
    Ok(Answer::told(describe_list(&made), &made))
}

pub fn certify(arguments: &Certify) -> Result<Answer, Fault> {
    let firm_file = arguments.passphrase.passphrase_file.as_deref();
    let firm_passphrase = passphrase::ask("the firm's issuer", firm_file)?;
    let person_passphrase = match (arguments.person_passphrase_file.as_deref(), firm_file) {
        (None, Some(file)) if file.as_os_str() != "-" => passphrase::ask("the firm's issuer", Some(file))?,
        (file, _) => passphrase::choose(&format!("the key of {}", arguments.name), file)?,
    };
    let certified = certify_person(
        &WORLD,
        &CertifyRequest {
            firm: &arguments.firm,
            id: &arguments.id,
            name: &arguments.name,
            role: arguments.role.into(),
            firm_passphrase: &firm_passphrase,
            person_passphrase: &person_passphrase,
        },
    )?;
    let text = format!(
        "{}, {} ({}), is certified until {}.\nThe key's fingerprint:\n  {}\n",
        certified.name,
        certified.organization,
        certified.role,
        certified.valid_until.format("%Y-%m-%d"),
        certified.fingerprint,
    );
    Ok(Answer::told(text, &certified))
}

pub fn revoke(arguments: &Revoke) -> Result<Answer, Fault> {
    let passphrase = passphrase::ask("the firm's issuer", arguments.passphrase.passphrase_file.as_deref())?;
    let made = revoke_certificate(
        &WORLD,
        &RevokeRequest {
            firm: &arguments.firm,
            person: &arguments.id,
            reason: arguments.reason.into(),
            since: arguments.since,
            passphrase: &passphrase,
        },
    )?;
    let text = format!("The certificate of {} is revoked.\n{}", arguments.id, describe_list(&made));
    Ok(Answer::told(text, &made))
}

fn describe_list(made: &Revoked) -> String {
    format!(
        "Revocation list {} with {} is in {}; give it to your customers. The next is due by {}.\n",
        made.number,
        if made.revoked == 1 { "1 certificate".to_owned() } else { format!("{} certificates", made.revoked) },
        made.file,
        made.next_update.format("%Y-%m-%d"),
    )
}
