use api::{Fault, World as _};
use serde::Serialize;
use server::{BackedUp, LogFolder, RestoreError, Stores, back_up_office, log::Checkpoint, restore_office};

use super::{
    WORLD,
    log::{read_text, refused},
    office::stores,
};
use crate::{
    answer::Answer,
    arguments::{BackUp, Restore},
    passphrase,
};

/// The copy is whole, and the office itself has lost something.
const DAMAGED: u8 = 1;

pub fn back_up(arguments: &BackUp) -> Result<Answer, Fault> {
    let stores = stores();
    if !stores.is_folder() {
        return Err(Fault {
            code: "not-a-folder",
            message: format!("this office is kept in {}, and only one in its own folder is copied so", stores.describe()),
            hint: Some(
                "copy the database with pg_dump and the store of objects with its own means, the database first; or take \
                 DATABASE_URL and BLOB_URL away if the office is in its folder"
                    .to_owned(),
            ),
        });
    }
    let made: BackedUp = back_up_office(&arguments.folder, &arguments.out, WORLD.now()).map_err(|error| Fault {
        code: "not-copied",
        message: error.to_string(),
        hint: Some("name a new folder on a disk with room for all photographs".to_owned()),
    })?;
    let mut text = format!(
        "{} has all of the office: {} entries of devices, {} of the log, {} photographs and recordings.\n\
         Its keys are locked with the passphrase, which is not in it. Look whether it is good: rimside office restore {} --to DIR\n",
        arguments.out.display(),
        made.entries,
        made.logged,
        made.blobs - made.damaged.len() as u64,
        arguments.out.display(),
    );
    for sha256 in &made.damaged {
        text.push_str(&format!("The office has lost {sha256}: a restored one asks the devices for it.\n"));
    }
    let code = if made.damaged.is_empty() { 0 } else { DAMAGED };
    Ok(Answer::told(text, &made).with_code(code))
}

#[derive(Serialize)]
struct Told {
    folder: String,
    copied_at: String,
    entries: u64,
    logged: u64,
    blobs: u64,
    lost: Vec<String>,
    log: String,
}

pub fn restore(arguments: &Restore) -> Result<Answer, Fault> {
    let seen = match &arguments.seen {
        Some(file) => Some(Checkpoint::parse(&read_text(file)?).ok_or_else(|| Fault {
            code: "head-refused",
            message: format!("{} is no signed head of a log", file.display()),
            hint: Some("give the file that an audit kept with --keep".to_owned()),
        })?),
        None => None,
    };
    // Asked for before anything is made.
    let new_log = match &arguments.new_log {
        Some(name) => {
            let phrase = passphrase::choose("the new log's key", arguments.passphrase.passphrase_file.as_deref())?;
            Some((name, phrase))
        }
        None => None,
    };
    let restored = restore_office(&arguments.backup, &arguments.to, seen.as_ref()).map_err(|error| fault(&error))?;
    if let Some((name, phrase)) = &new_log {
        let mut seed = [0; 32];
        WORLD.fill_random(&mut seed).map_err(|error| Fault {
            code: "no-randomness",
            message: format!("no random numbers could be drawn: {error}"),
            hint: None,
        })?;
        LogFolder::succeed(&arguments.to, name, phrase, seed).map_err(|error| refused(&error))?;
    }
    let office = LogFolder::open(&arguments.to, &Stores::default()).map_err(|error| refused(&error))?;
    let told = Told {
        folder: arguments.to.display().to_string(),
        copied_at: restored.at.to_rfc3339(),
        entries: restored.entries,
        logged: restored.logged,
        blobs: restored.blobs,
        lost: restored.damaged.iter().map(ToString::to_string).collect(),
        log: office.key().to_text(),
    };
    let mut text = format!(
        "{} is good: every photograph has its digest, the database holds, and so does the log.\n\
         It has what the office had at {}: {} entries of devices, {} of the log, {} photographs and recordings.\n\
         Devices tell it again what they told since, as soon as they sync.\n",
        told.folder, told.copied_at, told.entries, told.logged, told.blobs
    );
    if new_log.is_some() {
        text.push_str(&format!("Its log is another one now; tell the firm's readers of its key:\n  {}\n", told.log));
    } else if seen.is_none() {
        text.push_str(&format!(
            "Before it is served: has anybody seen a head of the log over more than {} entries? Then do not serve it, but\n\
             restore with --new-log; two histories under one key would make every receipt worthless.\n",
            told.logged
        ));
    }
    Ok(Answer::told(text, &told))
}

fn fault(error: &RestoreError) -> Fault {
    let (code, hint) = match error {
        RestoreError::NotEmpty { .. } => ("folder-not-empty", "name a folder that is not there yet"),
        RestoreError::Behind { .. } => {
            ("log-is-behind", "take a newer copy, or go on with another log: --new-log, as the help explains")
        }
        RestoreError::NoCopy { .. } => ("no-copy", "name a folder that `rimside office backup` made to its end"),
        _ => ("copy-refused", "take another copy; nothing was restored"),
    };
    Fault { code, message: error.to_string(), hint: Some(hint.to_owned()) }
}
