//! Files that leave the app: into the person's own folder for downloads, never over another file.
#![allow(clippy::needless_pass_by_value, reason = "a command is handed its arguments")]

use std::{
    fs::OpenOptions,
    io::{self, Write as _},
    path::{Path, PathBuf},
};

use crate::desk::Desk;
use serde_json::{Value, json};
use tauri::{
    AppHandle, Manager as _, State,
    ipc::{InvokeBody, Request},
};

/// Saves the bytes under the name in the header `name`; answers the path.
#[tauri::command]
pub fn save(request: Request<'_>, desk: State<'_, Desk>, app: AppHandle) -> Result<String, Value> {
    let fault = |message: String| json!({ "code": "not-saved", "message": message, "hint": "Look whether there is room in your folder for downloads." });
    let decoded;
    let (name, bytes) = match request.body() {
        InvokeBody::Raw(bytes) => {
            (request.headers().get("name").and_then(|name| name.to_str().ok()).unwrap_or_default(), bytes)
        }
        // What was brought in pieces before.
        InvokeBody::Json(named) => {
            let number = named["brought"].as_u64().and_then(|number| u32::try_from(number).ok());
            decoded = number.map(|number| desk.take_brought(number)).unwrap_or_default();
            (named["name"].as_str().unwrap_or_default(), &decoded)
        }
    };
    let folder = app.path().download_dir().or_else(|_| app.path().app_local_data_dir());
    let folder = folder.map_err(|error| fault(error.to_string()))?;
    let path = write_new(&folder, name, bytes).map_err(|error| fault(format!("{name} was not saved: {error}")))?;
    Ok(path.display().to_string())
}

/// Writes a new file; a name that is taken gets a number.
fn write_new(folder: &Path, name: &str, bytes: &[u8]) -> io::Result<PathBuf> {
    let plain = |letter: char| letter.is_ascii_alphanumeric() || matches!(letter, '-' | '.' | '_');
    let name: String = name.chars().filter(|&letter| plain(letter)).collect();
    let name = name.trim_start_matches('.');
    let (stem, extension) = name.rsplit_once('.').unwrap_or((name, "pdf"));
    let stem = if stem.is_empty() { "rimside" } else { stem };
    std::fs::create_dir_all(folder)?;
    for number in 1_u32.. {
        let number = if number == 1 { String::new() } else { format!("-{number}") };
        let path = folder.join(format!("{stem}{number}.{extension}"));
        match OpenOptions::new().write(true).create_new(true).open(&path) {
            Ok(mut file) => {
                file.write_all(bytes)?;
                file.sync_all()?;
                return Ok(path);
            }
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
            Err(error) => return Err(error),
        }
    }
    Err(io::ErrorKind::AlreadyExists.into())
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop where its own ground is missing")]

    use super::write_new;

    #[test]
    fn a_file_is_never_written_over_and_stays_in_its_folder() {
        let folder = std::env::temp_dir().join(format!("rimside-save-{}", std::process::id()));
        let first = write_new(&folder, "report.pdf", b"one").unwrap();
        let second = write_new(&folder, "report.pdf", b"two").unwrap();
        assert_ne!(first, second);
        assert_eq!(std::fs::read(&first).unwrap(), b"one");
        for name in ["../../evil.pdf", "/etc/evil.pdf", "", "..", "a/b.pdf"] {
            assert_eq!(write_new(&folder, name, b"x").unwrap().parent().unwrap(), folder, "{name}");
        }
        std::fs::remove_dir_all(folder).unwrap();
    }
}
