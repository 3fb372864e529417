//! What a firm shows at its office, the certificates that its devices ask for, and a phone that was lost.

use std::path::Path;

use api::{
    CertificateAsked, Certified, Fault, RevokeRequest, World as _, certify_asked, digest_certificate,
    fingerprint_words, revoke_certificate,
};
use serde::Serialize;
use server::{
    CertificateRow, LogFolder, LogFolderError,
    log::EntryKind,
    papers::{ISSUER, PaperError, REVOKED, ROOT, show_papers},
};

use super::{super::WORLD, open, refused, stored};
use crate::{
    answer::Answer,
    arguments::{CertifyDevice, GiveCertificate, ListAsked, ShowFirm, ShutOut},
    passphrase,
};

/// The firm's three public papers, from its folder or a copy of it without keys.
fn read_papers(firm: &Path) -> Result<[String; 3], Fault> {
    let read = |paper: &str| {
        let file = firm.join(paper);
        std::fs::read_to_string(&file).map_err(|error| Fault {
            code: "file-not-read",
            message: format!("{}: {error}", file.display()),
            hint: Some("name the firm's folder, as `rimside firm found` made it".to_owned()),
        })
    };
    Ok([read(ROOT)?, read(ISSUER)?, read(REVOKED)?])
}

fn unfit(error: &PaperError) -> Fault {
    let hint = match error {
        PaperError::OtherRoot { .. } => {
            Some("one office serves one firm; another root needs another office".to_owned())
        }
        PaperError::OlderList { .. } => Some("give the newest list: rimside firm renew-list".to_owned()),
        _ => None,
    };
    Fault { code: "papers-refused", message: error.to_string(), hint }
}

#[derive(Serialize)]
struct Shown {
    number: u64,
    revoked: usize,
    next_update: String,
}

fn show_at(folder: &LogFolder, firm: &Path) -> Result<Shown, Fault> {
    let [root, issuer, list] = read_papers(firm)?;
    let list =
        show_papers(folder.shelf().as_ref(), folder.firm(), [&root, &issuer, &list]).map_err(|error| unfit(&error))?;
    Ok(Shown {
        number: list.number(),
        revoked: list.list_revocations().len(),
        next_update: list.next_update().to_rfc3339(),
    })
}

pub fn show(arguments: &ShowFirm) -> Result<Answer, Fault> {
    let shown = show_at(&open(&arguments.folder)?, &arguments.firm)?;
    let text = format!(
        "The office shows the firm's root, its issuer and revocation list {} with {} on it; the next is due by {}.\n\
         Reports that are sealed under this root are taken from now on.\n",
        shown.number, shown.revoked, shown.next_update
    );
    Ok(Answer::told(text, &shown))
}

#[derive(Serialize)]
struct Asked {
    device: String,
    name: String,
    role: &'static str,
    words: String,
    fingerprint: String,
    given_at: Option<String>,
}

fn read_asked(row: &CertificateRow) -> Result<CertificateAsked, Fault> {
    CertificateAsked::parse_pem(&row.request).map_err(|error| Fault {
        code: "request-refused",
        message: format!("what {} asked for: {error}", row.device),
        hint: Some("let the device ask again".to_owned()),
    })
}

pub fn asked(arguments: &ListAsked) -> Result<Answer, Fault> {
    let folder = open(&arguments.folder)?;
    let rows = folder.rows().list_certificates(folder.firm()).map_err(|error| stored(&error))?;
    let mut told = Vec::new();
    for row in rows {
        let asked = read_asked(&row)?;
        let fingerprint = asked.key().fingerprint();
        told.push(Asked {
            device: row.device,
            name: asked.person().name.clone(),
            role: asked.person().role.name(),
            words: fingerprint_words(&fingerprint),
            fingerprint: fingerprint.to_string(),
            given_at: row.given_at.map(|at| at.to_rfc3339()),
        });
    }
    let line = |one: &Asked| {
        let given = one.given_at.as_ref().map_or_else(String::new, |at| format!("\n  certified {at}"));
        format!("{}: {} ({})\n  {}{given}\n", one.device, one.name, one.role, one.words)
    };
    let text: String = told.iter().map(line).collect();
    let text = if text.is_empty() { "No device has asked for a certificate.\n".to_owned() } else { text };
    Ok(Answer::told(text, &told))
}

fn find_asked(folder: &LogFolder, device: &str) -> Result<CertificateRow, Fault> {
    let row = folder.rows().certificate(folder.firm(), device).map_err(|error| stored(&error))?;
    row.ok_or_else(|| Fault {
        code: "nothing-asked",
        message: format!("{device} has asked for no certificate"),
        hint: Some("rimside office asked lists what was asked for".to_owned()),
    })
}

pub fn certify(arguments: &CertifyDevice) -> Result<Answer, Fault> {
    let folder = open(&arguments.folder)?;
    let row = find_asked(&folder, &arguments.device)?;
    let asked = read_asked(&row)?;
    // What the person reads from the phone, not what came over the network, says whose key it is.
    let words = fingerprint_words(&asked.key().fingerprint());
    let plain = |text: &str| text.split_whitespace().map(str::to_lowercase).collect::<Vec<_>>();
    if plain(&arguments.words) != plain(&words) {
        return Err(Fault {
            code: "another-key",
            message: format!("the key that {} asked for is not the one of these words", arguments.device),
            hint: Some("read the eight words from the phone's own screen; if they differ, certify nothing".to_owned()),
        });
    }
    let passphrase = passphrase::ask("the firm's issuer", arguments.passphrase.passphrase_file.as_deref())?;
    let (certified, chain) = certify_asked(&WORLD, &arguments.firm, &asked, &arguments.id, &passphrase)?;
    show_at(&folder, &arguments.firm)?;
    give_to(&folder, &row, &chain)?;
    Ok(tell_given(&certified))
}

pub fn give(arguments: &GiveCertificate) -> Result<Answer, Fault> {
    let folder = open(&arguments.folder)?;
    let row = find_asked(&folder, &arguments.device)?;
    let chain = std::fs::read_to_string(&arguments.chain).map_err(|error| Fault {
        code: "file-not-read",
        message: format!("{}: {error}", arguments.chain.display()),
        hint: Some("look at the spelling of the path".to_owned()),
    })?;
    give_to(&folder, &row, &chain)?;
    let text = format!("{} fetches its certificate when it has a signal.\n", arguments.device);
    Ok(Answer::told(text, &serde_json::json!({ "device": arguments.device })))
}

fn give_to(folder: &LogFolder, row: &CertificateRow, chain: &str) -> Result<(), Fault> {
    let asked = (row.device.as_str(), row.request.as_str());
    let given =
        folder.rows().give_certificate(folder.firm(), asked, chain, WORLD.now()).map_err(|error| stored(&error))?;
    if given {
        return Ok(());
    }
    Err(Fault {
        code: "asked-anew",
        message: format!("{} has asked for another certificate meanwhile", row.device),
        hint: Some("compare the words again".to_owned()),
    })
}

fn tell_given(certified: &Certified) -> Answer {
    let text = format!(
        "{}, {} ({}), is certified until {}. The device fetches the certificate when it has a signal.\n",
        certified.name,
        certified.organization,
        certified.role,
        certified.valid_until.format("%Y-%m-%d"),
    );
    Answer::told(text, certified)
}

#[derive(Serialize)]
struct Out {
    device: String,
    revoked: Option<u64>,
    entry: Option<u64>,
}

/// A lost phone: its token, and with the firm's folder at hand its person's certificate too, in one step.
pub fn shut_out(arguments: &ShutOut) -> Result<Answer, Fault> {
    let folder = open(&arguments.folder)?;
    let firm = folder.firm().clone();
    let known = folder.rows().list_devices(&firm).map_err(|error| stored(&error))?;
    if !known.iter().any(|one| one.device == arguments.device) {
        return Err(Fault {
            code: "no-such-device",
            message: format!("no device {} is let in", arguments.device),
            hint: Some(format!("rimside office devices {} lists those that are", arguments.folder.display())),
        });
    }
    // The token first: it needs no passphrase, and nothing that fails later lets the device in again.
    let done = folder.rows().shut_out(&firm, &arguments.device, WORLD.now()).map_err(|error| stored(&error))?;
    // Where the certificate is to be revoked as well, a run before may have got as far as this.
    if !done && arguments.firm.is_none() {
        return Err(Fault {
            code: "no-such-device",
            message: format!("{} is shut out already", arguments.device),
            hint: Some("name --firm and --id to revoke its person's certificate as well".to_owned()),
        });
    }
    let mut told = Out { device: arguments.device.clone(), revoked: None, entry: None };
    let (Some(firm_folder), Some(person)) = (&arguments.firm, &arguments.id) else {
        let text = format!(
            "{} is shut out: its token counts no more. If the phone is lost, revoke its person's certificate as well: \
             name --firm and --id.\n",
            arguments.device
        );
        return Ok(Answer::told(text, &told));
    };
    let issuer = passphrase::ask("the firm's issuer", arguments.passphrase.passphrase_file.as_deref())?;
    let log = passphrase::ask("the log's key", arguments.log_passphrase_file.as_deref())?;
    let mut keeper = folder.unlock(&log).map_err(|error| refused(&error))?;
    let certificate = digest_certificate(&WORLD, firm_folder, person)?;
    let revoke =
        RevokeRequest { firm: firm_folder, person, reason: arguments.reason.into(), since: None, passphrase: &issuer };
    match revoke_certificate(&WORLD, &revoke) {
        // A run before got as far as this.
        Err(api::FirmError::RevokedAlready { .. }) => {}
        other => drop(other?),
    }
    told.revoked = Some(show_at(&folder, firm_folder)?.number);
    let entered = keeper
        .enter(&[EntryKind::Revoked { certificate }], WORLD.now())
        .map_err(|error| refused(&LogFolderError::Keep(error)))?;
    told.entry = entered.first().map(|entered| entered.index);
    let text = format!(
        "{} is shut out: its token counts no more.\nThe certificate of {person} is revoked: revocation list {} is shown, \
         and entry {} of the log says so.\nWhat the log or a timestamp shows to be older stays valid.\n",
        arguments.device,
        told.revoked.unwrap_or_default(),
        told.entry.unwrap_or_default(),
    );
    Ok(Answer::told(text, &told))
}
