use std::{collections::BTreeMap, path::Path};

use api::{Access, Existing, Fault, ReceiptRequest, World as _, write_whole};
use serde::Serialize;
use server::{
    LogFolder, LogFolderError,
    log::{AuditFault, Audited, Checkpoint, LogKey, WitnessKey, audit},
    papers::show_statement,
    read_kind,
};

use super::{WORLD, office::stores};
use crate::{
    answer::Answer,
    arguments::{AddWitness, AuditLog, EnterLog, FoundLog},
    passphrase,
};

/// No report and no statement is larger.
const MOST_BYTES: u64 = 1 << 30;

pub(super) fn refused(error: &LogFolderError) -> Fault {
    let (code, hint) = match error {
        LogFolderError::Locked(_) => ("wrong-passphrase", None),
        LogFolderError::NotEmpty { .. } => ("folder-not-empty", Some("name a folder that is not there yet".to_owned())),
        LogFolderError::Keep(_) => (
            "log-not-kept",
            Some("nothing was signed over it: look at the log with `rimside log audit` before going on".to_owned()),
        ),
        LogFolderError::Store(_) => (
            "store-failed",
            Some(
                "look whether the stores that DATABASE_URL and BLOB_URL name answer, or whether the office has moved"
                    .to_owned(),
            ),
        ),
        LogFolderError::Witnesses(_) => {
            ("witness-refused", Some("look at the address, and at the file `witnesses` in the log's folder".to_owned()))
        }
        LogFolderError::OtherKey | LogFolderError::Key { .. } => {
            ("log-refused", Some("put log.pub and log.key.pem back from one copy; begin no new log".to_owned()))
        }
        LogFolderError::SameName { .. } => ("log-refused", Some("give another name with --new-log".to_owned())),
        _ => ("log-refused", Some("begin one with `rimside log found`, or name its folder".to_owned())),
    };
    Fault { code, message: error.to_string(), hint }
}

#[derive(Serialize)]
struct Begun {
    folder: String,
    log: String,
    key: String,
}

pub fn found(arguments: &FoundLog) -> Result<Answer, Fault> {
    let passphrase = passphrase::choose("the log's key", arguments.passphrase.passphrase_file.as_deref())?;
    let mut seed = [0; 32];
    WORLD.fill_random(&mut seed).map_err(|error| Fault {
        code: "no-randomness",
        message: format!("no random numbers could be drawn: {error}"),
        hint: None,
    })?;
    let named = (&*arguments.name, arguments.firm.as_ref());
    let folder =
        LogFolder::found(&arguments.folder, named, &stores(), &passphrase, seed).map_err(|error| refused(&error))?;
    folder.unlock(&passphrase).map_err(|error| refused(&error))?;
    let begun = Begun {
        folder: arguments.folder.display().to_string(),
        log: folder.key().name().to_owned(),
        key: folder.key().to_text(),
    };
    let text = format!(
        "The log {} begins in {}.\n\nIts key, which readers bring with --log:\n  {}\n\n\
         Serve {} as it is; nothing else of the folder is public.\n\
         Next: rimside log enter {} report.pdf --root root.pem\n",
        begun.log,
        begun.folder,
        begun.key,
        folder.public().display(),
        begun.folder,
    );
    Ok(Answer::told(text, &begun))
}

#[derive(Serialize)]
struct EnteredFile {
    file: String,
    what: &'static str,
    index: u64,
    at: String,
    is_new: bool,
    receipt: Option<String>,
}

pub fn enter(arguments: &EnterLog) -> Result<Answer, Fault> {
    let folder = LogFolder::open(&arguments.folder, &stores()).map_err(|error| refused(&error))?;
    let root = read_text(&arguments.root)?;
    let now = WORLD.now();
    let mut kinds = Vec::new();
    for file in &arguments.files {
        let bytes = WORLD.read(file, MOST_BYTES).map_err(|error| unread(file, &error))?;
        let kind = read_kind(&bytes, &root, now).map_err(|error| Fault {
            code: "not-entered",
            message: format!("{}: {error}", file.display()),
            hint: Some("a log holds its own firm's reports and statements; nothing was entered".to_owned()),
        })?;
        // What the log speaks of can be read beside it.
        show_statement(folder.shelf().as_ref(), folder.firm(), &kind, &bytes)
            .map_err(|error| refused(&LogFolderError::Store(error)))?;
        kinds.push(kind);
    }
    let passphrase = passphrase::ask("the log's key", arguments.passphrase.passphrase_file.as_deref())?;
    let mut keeper = folder.unlock(&passphrase).map_err(|error| refused(&error))?;
    let entered = keeper.enter(&kinds, now).map_err(|error| refused(&LogFolderError::Keep(error)))?;
    let (mut lines, mut told) = (Vec::new(), Vec::new());
    for (file, entered) in arguments.files.iter().zip(&entered) {
        let what = entered.entry.kind.name();
        let before = if entered.is_new { "" } else { ", as it stood already" };
        lines.push(format!("{}: {what}, entry {} of {}{before}", file.display(), entered.index, entered.entry.at));
        let receipt = match keeper.receipt(entered) {
            Some(receipt) => Some(attach(file, &receipt.to_text(), &mut lines)?),
            None => None,
        };
        told.push(EnteredFile {
            file: file.display().to_string(),
            what,
            index: entered.index,
            at: entered.entry.at.to_rfc3339(),
            is_new: entered.is_new,
            receipt,
        });
    }
    Ok(Answer::told(lines.join("\n") + "\n", &told))
}

/// The receipt beside the report, and in its room where that is free.
fn attach(file: &Path, receipt: &str, lines: &mut Vec<String>) -> Result<String, Fault> {
    let mut place = file.as_os_str().to_owned();
    place.push(".receipt.txt");
    let place = std::path::PathBuf::from(place);
    write_whole(&WORLD, &place, receipt.as_bytes(), Access::Shared, Existing::Replace)?;
    match api::attach_receipt(&WORLD, &ReceiptRequest { report: file, receipt: &place }) {
        Ok(_) => lines.push(format!("  the receipt is in it now, and in {}", place.display())),
        Err(error) => {
            lines.push(format!("  the receipt is in {}; it was not put into the report: {error}", place.display()));
        }
    }
    Ok(place.display().to_string())
}

#[derive(Serialize)]
struct Added {
    witness: String,
    address: String,
    is_new: bool,
}

pub fn add_witness(arguments: &AddWitness) -> Result<Answer, Fault> {
    let folder = LogFolder::open(&arguments.folder, &stores()).map_err(|error| refused(&error))?;
    let key = WitnessKey::parse(read_text(&arguments.witness)?.trim()).map_err(|error| Fault {
        code: "witness-refused",
        message: format!("{}: {error}", arguments.witness.display()),
        hint: Some("ask the witness for its key: name+id+key".to_owned()),
    })?;
    let is_new = folder.add_witness(&key, &arguments.address).map_err(|error| refused(&error))?;
    let already = if is_new { "from now on" } else { "as it was already" };
    let text = format!("{} at {} is asked {already}.\n", key.name(), arguments.address);
    Ok(Answer::told(text, &Added { witness: key.name().to_owned(), address: arguments.address.clone(), is_new }))
}

#[derive(Serialize)]
struct AuditedLog {
    log: String,
    size: u64,
    root: String,
    by_kind: BTreeMap<&'static str, u64>,
    last: Option<String>,
}

pub fn audit_log(arguments: &AuditLog) -> Result<Answer, Fault> {
    let key = LogKey::parse(read_text(&arguments.key)?.trim()).map_err(|error| Fault {
        code: "log-key-refused",
        message: format!("{}: {error}", arguments.key.display()),
        hint: Some("ask the firm for its log's key: name+id+key".to_owned()),
    })?;
    let seen = match &arguments.seen {
        Some(file) => Some(Checkpoint::parse(&read_text(file)?).ok_or_else(|| Fault {
            code: "head-refused",
            message: format!("{} is no signed head of a log", file.display()),
            hint: Some("give the file that an earlier audit kept with --keep".to_owned()),
        })?),
        None => None,
    };
    let read = |path: &str| std::fs::read(arguments.log.join(path));
    match audit(&key, seen.as_ref(), read) {
        Ok(audited) => {
            if let Some(keep) = &arguments.keep {
                write_whole(&WORLD, keep, audited.checkpoint.as_str().as_bytes(), Access::Shared, Existing::Replace)?;
            }
            Ok(tell(&key, &audited))
        }
        Err(fault) => {
            let text = format!("Do not rely on this log.\n{fault}\n");
            let code = if matches!(fault, AuditFault::Read { .. }) { 2 } else { 1 };
            Ok(Answer::told(text, &serde_json::json!({ "fault": fault.to_string() })).with_code(code))
        }
    }
}

fn tell(key: &LogKey, audited: &Audited) -> Answer {
    let mut by_kind = BTreeMap::new();
    for entry in &audited.entries {
        *by_kind.entry(entry.kind.name()).or_insert(0) += 1;
    }
    let told = AuditedLog {
        log: key.name().to_owned(),
        size: audited.checkpoint.size(),
        root: audited.checkpoint.root().to_string(),
        last: audited.entries.last().map(|entry| entry.at.to_rfc3339()),
        by_kind,
    };
    let kinds: Vec<String> = told.by_kind.iter().map(|(kind, count)| format!("{count} {kind}")).collect();
    let text = format!(
        "{}: every entry up to the last was read, {} in all ({}). They come to the root that the log's key has signed.\n\
         Last entry: {}\nRoot: {}\n",
        told.log,
        told.size,
        if kinds.is_empty() { "none".to_owned() } else { kinds.join(", ") },
        told.last.as_deref().unwrap_or("none"),
        told.root,
    );
    Answer::told(text, &told)
}

pub(super) fn read_text(file: &Path) -> Result<String, Fault> {
    std::fs::read_to_string(file).map_err(|error| unread(file, &error))
}

fn unread(file: &Path, error: &std::io::Error) -> Fault {
    Fault {
        code: "file-not-read",
        message: format!("{}: {error}", file.display()),
        hint: Some("look at the spelling of the path".to_owned()),
    }
}
