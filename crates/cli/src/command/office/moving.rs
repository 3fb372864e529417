use api::{Fault, World as _};
use serde::Serialize;
use server::{MoveError, Way, move_office as carry};

use super::{WORLD, stores};
use crate::{
    answer::Answer,
    arguments::{MoveOffice, MoveTo},
    command::log::refused,
};

/// The office is where it was to go, and had lost something before.
const DAMAGED: u8 = 1;

#[derive(Serialize)]
struct Moved {
    folder: String,
    to: String,
    rows: std::collections::BTreeMap<&'static str, u64>,
    blobs: u64,
    files: u64,
    logged: u64,
    lost: Vec<String>,
}

pub fn move_office(arguments: &MoveOffice) -> Result<Answer, Fault> {
    let stores = stores();
    let (way, to) = match arguments.to {
        MoveTo::Stores => (Way::ToStores, stores.describe()),
        MoveTo::Folder => (Way::ToFolder, "its own folder".to_owned()),
    };
    let moved = carry(&arguments.folder, &stores, way, WORLD.now()).map_err(|error| fault(&error))?;
    let told = Moved {
        folder: arguments.folder.display().to_string(),
        to,
        rows: moved.rows.into_iter().collect(),
        blobs: moved.blobs,
        files: moved.files,
        logged: moved.logged,
        lost: moved.lost.iter().map(ToString::to_string).collect(),
    };
    let rows: u64 = told.rows.values().sum();
    let mut text = format!(
        "The office of {} is in {} now: {rows} rows, {} photographs, recordings and reports, {} public files, each compared; \
         the {} entries of its log were audited there.\nWhere it was, it can now only be read; nothing was deleted.\n",
        told.folder, told.to, told.blobs, told.files, told.logged
    );
    text.push_str(match way {
        Way::ToStores => "Next: serve it with DATABASE_URL and BLOB_URL as they are now.\n",
        Way::ToFolder => "Next: serve it without DATABASE_URL and BLOB_URL.\n",
    });
    for sha256 in &told.lost {
        text.push_str(&format!("{sha256} was lost before: it was not carried.\n"));
    }
    let code = if told.lost.is_empty() { 0 } else { DAMAGED };
    Ok(Answer::told(text, &told).with_code(code))
}

fn fault(error: &MoveError) -> Fault {
    let (code, hint) = match error {
        MoveError::Folder(error) => return refused(error),
        MoveError::NoDatabase => {
            ("no-database", "name the database with DATABASE_URL, and a store of objects with BLOB_URL")
        }
        MoveError::Taken { .. } => {
            ("firm-is-there", "name the firm otherwise in the folder's file `firm`, or look who it is")
        }
        MoveError::Gone { .. } => ("office-is-elsewhere", "move it from where it is, or back"),
        MoveError::Log(_) => ("log-not-kept", "look at the log with `rimside log audit` before going on"),
        _ => (
            "not-moved",
            "it is still where it was, or marked at both places: run it once more, which finishes or begins anew",
        ),
    };
    Fault { code, message: error.to_string(), hint: Some(hint.to_owned()) }
}
