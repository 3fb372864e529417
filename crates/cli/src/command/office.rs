use std::{collections::BTreeMap, io::Write as _, sync::Arc};

use api::{Fault, World as _};
use serde::Serialize;
use server::{Devices as _, Limits, LogFolder, Office, OfficeWorld, make_code, routes, serve as serve_office};

use super::{WORLD, log::refused};
use crate::{
    answer::Answer,
    arguments::{ListDevices, MakeCode, Serve, ShutOut},
    passphrase,
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

fn open(folder: &std::path::Path) -> Result<LogFolder, Fault> {
    LogFolder::open(folder).map_err(|error| refused(&error))
}

fn stored(error: &server::StoreError) -> Fault {
    Fault { code: "store-failed", message: error.to_string(), hint: Some("look whether the disk is full".to_owned()) }
}

#[derive(Serialize)]
struct Made {
    code: String,
    label: String,
    minutes: i64,
}

pub fn code(arguments: &MakeCode) -> Result<Answer, Fault> {
    let folder = open(&arguments.folder)?;
    let code = make_code(folder.rows().as_ref(), &Here, &LogFolder::firm(), &arguments.label)
        .map_err(|error| stored(&error))?;
    let told = Made { code, label: arguments.label.clone(), minutes: server::CODE_MINUTES };
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
    since: String,
    shut_out: Option<String>,
}

pub fn devices(arguments: &ListDevices) -> Result<Answer, Fault> {
    let folder = open(&arguments.folder)?;
    let all = folder.rows().list_devices(&LogFolder::firm()).map_err(|error| stored(&error))?;
    let told: Vec<ListedDevice> = all
        .into_iter()
        .map(|one| ListedDevice {
            device: one.device,
            label: one.label,
            since: one.since.to_rfc3339(),
            shut_out: one.revoked.map(|at| at.to_rfc3339()),
        })
        .collect();
    let line = |one: &ListedDevice| {
        let out = one.shut_out.as_ref().map_or_else(String::new, |at| format!(", shut out since {at}"));
        format!("{}: {}, let in {}{out}\n", one.device, one.label, one.since)
    };
    let text: String = told.iter().map(line).collect();
    Ok(Answer::told(if text.is_empty() { "No device was let in yet.\n".to_owned() } else { text }, &told))
}

pub fn shut_out(arguments: &ShutOut) -> Result<Answer, Fault> {
    let folder = open(&arguments.folder)?;
    let done =
        folder.rows().shut_out(&LogFolder::firm(), &arguments.device, WORLD.now()).map_err(|error| stored(&error))?;
    if !done {
        return Err(Fault {
            code: "no-such-device",
            message: format!("no device {} is let in", arguments.device),
            hint: Some(format!("rimside office devices {}", arguments.folder.display())),
        });
    }
    let text = format!(
        "{} is shut out: its token counts no more. If the phone is lost, revoke its person's certificate as well: rimside revoke\n",
        arguments.device
    );
    Ok(Answer::told(text, &serde_json::json!({ "device": arguments.device })))
}

pub fn serve(arguments: &Serve) -> Result<Answer, Fault> {
    let folder = open(&arguments.folder)?;
    let passphrase = passphrase::ask("the log's key", arguments.passphrase.passphrase_file.as_deref())?;
    let keeper = folder.unlock(&passphrase).map_err(|error| refused(&error))?;
    let told = |doing: &str, error: &std::io::Error| Fault {
        code: "not-served",
        message: format!("{doing}: {error}"),
        hint: Some("name another address with --listen".to_owned()),
    };
    let runtime = tokio::runtime::Runtime::new().map_err(|error| told("no threads", &error))?;
    runtime.block_on(async {
        if let Some(pages) = arguments.pages.as_ref().filter(|pages| !pages.join("index.html").is_file()) {
            return Err(Fault {
                code: "no-pages",
                message: format!("{} holds no pages: there is no index.html in it", pages.display()),
                hint: Some("`cargo xtask pages` builds them into ui/dist".to_owned()),
            });
        }
        let listener = tokio::net::TcpListener::bind(arguments.listen)
            .await
            .map_err(|error| told(&format!("{} cannot be listened at", arguments.listen), &error))?;
        let address = listener.local_addr().map_err(|error| told("no address", &error))?;
        if arguments.check {
            let text = format!("The office can be served at http://{address}.\n");
            return Ok(Answer::told(text, &serde_json::json!({ "address": address.to_string() })));
        }
        let limits = Limits::default();
        let office = Office {
            devices: Arc::clone(folder.rows()) as _,
            shelf: Arc::clone(folder.shelf()) as _,
            entries: Arc::clone(folder.rows()) as _,
            blobs: Arc::clone(folder.blobs()) as _,
            logs: BTreeMap::from([(LogFolder::firm(), keeper.into())]),
            pages: arguments.pages.clone(),
            world: Arc::new(Here),
            tell: Box::new(tell),
        };
        tell(&serde_json::json!({"at": WORLD.now().to_rfc3339(), "served": address.to_string()}).to_string());
        serve_office(listener, routes(Arc::new(office), limits.answer), limits, closing()).await;
        Ok(Answer::told("The office is closed; what was begun is finished.\n".to_owned(), &serde_json::json!({})))
    })
}

/// A line of the office's own log. Where nobody reads it any more, the office goes on.
pub(super) fn tell(line: &str) {
    let _ = writeln!(std::io::stderr(), "{line}");
}

/// Comes when somebody ends the program, at the terminal or as a service.
pub(super) async fn closing() {
    #[cfg(unix)]
    {
        use tokio::signal::unix::{SignalKind, signal};
        if let Ok(mut ended) = signal(SignalKind::terminate()) {
            tokio::select! {
                _ = tokio::signal::ctrl_c() => {}
                _ = ended.recv() => {}
            }
            return;
        }
    }
    let _ = tokio::signal::ctrl_c().await;
}
