use std::sync::Arc;

use api::{Fault, World as _};
use serde::Serialize;
use server::{Counter, Limits, TlsFiles, WitnessFolder, WitnessFolderError, log::LogKey, serve_at, witness_routes};

use super::{
    WORLD,
    log::read_text,
    office::Here,
    serve::{closing, open_runtime, open_tls, tell},
};
use crate::{
    answer::Answer,
    arguments::{FoundWitness, ServeWitness, WatchLog},
    passphrase,
};

fn refused(error: &WitnessFolderError) -> Fault {
    let (code, hint) = match error {
        WitnessFolderError::Locked(_) => ("wrong-passphrase", None),
        WitnessFolderError::NotEmpty { .. } => ("folder-not-empty", Some("name a folder that is not there yet")),
        WitnessFolderError::OtherLog { .. } => {
            ("log-refused", Some("ask the firm which key its log has, by another way than the one this key came by"))
        }
        _ => ("witness-refused", Some("begin one with `rimside witness found`, or name its folder")),
    };
    Fault { code, message: error.to_string(), hint: hint.map(str::to_owned) }
}

#[derive(Serialize)]
struct Begun {
    folder: String,
    witness: String,
    key: String,
}

pub fn found(arguments: &FoundWitness) -> Result<Answer, Fault> {
    let passphrase = passphrase::choose("the witness's key", arguments.passphrase.passphrase_file.as_deref())?;
    let mut seed = [0; 32];
    WORLD.fill_random(&mut seed).map_err(|error| Fault {
        code: "no-randomness",
        message: format!("no random numbers could be drawn: {error}"),
        hint: None,
    })?;
    let folder =
        WitnessFolder::found(&arguments.folder, &arguments.name, &passphrase, seed).map_err(|error| refused(&error))?;
    let begun = Begun {
        folder: arguments.folder.display().to_string(),
        witness: folder.key().name().to_owned(),
        key: folder.key().to_text(),
    };
    let text = format!(
        "The witness {} begins in {}.\n\nIts key, which readers bring with --witness:\n  {}\n\n\
         Never put this folder back from an old copy: it would have forgotten what it signed. Begin a new witness instead.\n\
         Next: rimside witness watch {} --log log.pub\n",
        begun.witness, begun.folder, begun.key, begun.folder,
    );
    Ok(Answer::told(text, &begun))
}

#[derive(Serialize)]
struct Watched {
    log: String,
    is_new: bool,
}

pub fn watch(arguments: &WatchLog) -> Result<Answer, Fault> {
    let folder = WitnessFolder::open(&arguments.folder).map_err(|error| refused(&error))?;
    let log = LogKey::parse(read_text(&arguments.log)?.trim()).map_err(|error| Fault {
        code: "log-key-refused",
        message: format!("{}: {error}", arguments.log.display()),
        hint: Some("ask the firm for its log's key: name+id+key".to_owned()),
    })?;
    let is_new = folder.watch(&log).map_err(|error| refused(&error))?;
    let already = if is_new { "" } else { ", as it was already" };
    let text = format!("{} is watched{already}.\n", log.name());
    Ok(Answer::told(text, &Watched { log: log.name().to_owned(), is_new }))
}

pub fn serve(arguments: &ServeWitness) -> Result<Answer, Fault> {
    let folder = WitnessFolder::open(&arguments.folder).map_err(|error| refused(&error))?;
    let passphrase = passphrase::ask("the witness's key", arguments.passphrase.passphrase_file.as_deref())?;
    let witness = folder.unlock(&passphrase).map_err(|error| refused(&error))?;
    let files = arguments.tls_certificate.clone().zip(arguments.tls_key.clone());
    let tls = files.map(|(certificate, key)| open_tls(TlsFiles { certificate, key })).transpose()?;
    let told = |doing: String, error: &std::io::Error| Fault {
        code: "not-served",
        message: format!("{doing}: {error}"),
        hint: Some("name another address with --listen".to_owned()),
    };
    let runtime = open_runtime()?;
    runtime.block_on(async {
        let listener = tokio::net::TcpListener::bind(arguments.listen)
            .await
            .map_err(|error| told(format!("{} cannot be listened at", arguments.listen), &error))?;
        let address = listener.local_addr().map_err(|error| told("no address".to_owned(), &error))?;
        let limits = Limits::default();
        tell(&serde_json::json!({
            "at": WORLD.now().to_rfc3339(), "served": address.to_string(), "tls": tls.is_some(),
        }));
        let routes = witness_routes(witness, Arc::new(Here), limits.answer);
        serve_at(Counter { limits, tls, ..Counter::default() }, listener, routes, closing()).await;
        Ok(Answer::told("The witness is closed; what was begun is finished.\n".to_owned(), &serde_json::json!({})))
    })
}
