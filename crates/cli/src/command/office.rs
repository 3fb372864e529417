mod certificates;
mod moving;

pub use certificates::{asked, certify, give, show, shut_out};
pub use moving::move_office;

use api::{Fault, Role, World as _};
use serde::Serialize;
use server::{LogFolder, OfficeWorld, Stores, make_code};

use super::{WORLD, log::refused};
use crate::{
    answer::Answer,
    arguments::{ListDevices, MakeCode},
};

/// This machine's clock and randomness, as the office asks for them.
pub(super) struct Here;

impl OfficeWorld for Here {
    fn now(&self) -> chrono::DateTime<chrono::Utc> {
        WORLD.now()
    }

    fn fill_random(&self, bytes: &mut [u8]) -> std::io::Result<()> {
        WORLD.fill_random(bytes)
    }
}

/// The stores that the environment names.
pub(super) fn stores() -> Stores {
    let readable = |(name, value): (std::ffi::OsString, std::ffi::OsString)| {
        Some((name.into_string().ok()?, value.into_string().ok()?))
    };
    Stores::read(std::env::vars_os().filter_map(readable))
}

pub(super) fn open(folder: &std::path::Path) -> Result<LogFolder, Fault> {
    LogFolder::open(folder, &stores()).map_err(|error| refused(&error))
}

fn stored(error: &server::StoreError) -> Fault {
    Fault {
        code: "store-failed",
        message: error.to_string(),
        hint: Some(
            "look whether the disk is full, and whether the stores that DATABASE_URL and BLOB_URL name answer"
                .to_owned(),
        ),
    }
}

#[derive(Serialize)]
struct Made {
    code: String,
    label: String,
    role: String,
    minutes: i64,
}

pub fn code(arguments: &MakeCode) -> Result<Answer, Fault> {
    let folder = open(&arguments.folder)?;
    let code = make_code(folder.rows().as_ref(), &Here, folder.firm(), (&arguments.label, arguments.role.into()))
        .map_err(|error| stored(&error))?;
    let role = Role::from(arguments.role).name().to_owned();
    let told = Made { code, label: arguments.label.clone(), role, minutes: server::CODE_MINUTES };
    let text = format!(
        "{}\n\nRead it out to whoever holds {}. It is good once, for {} minutes.\n",
        told.code, told.label, told.minutes
    );
    Ok(Answer::told(text, &told))
}

#[derive(Serialize)]
struct ListedDevice {
    device: String,
    label: String,
    role: String,
    since: String,
    shut_out: Option<String>,
}

pub fn devices(arguments: &ListDevices) -> Result<Answer, Fault> {
    let folder = open(&arguments.folder)?;
    let all = folder.rows().list_devices(folder.firm()).map_err(|error| stored(&error))?;
    let told: Vec<ListedDevice> = all
        .into_iter()
        .map(|one| ListedDevice {
            device: one.device,
            label: one.label,
            role: one.role.name().to_owned(),
            since: one.since.to_rfc3339(),
            shut_out: one.revoked.map(|at| at.to_rfc3339()),
        })
        .collect();
    let line = |one: &ListedDevice| {
        let out = one.shut_out.as_ref().map_or_else(String::new, |at| format!(", shut out since {at}"));
        format!("{}: {} ({}), let in {}{out}\n", one.device, one.label, one.role, one.since)
    };
    let text: String = told.iter().map(line).collect();
    Ok(Answer::told(if text.is_empty() { "No device was let in yet.\n".to_owned() } else { text }, &told))
}
