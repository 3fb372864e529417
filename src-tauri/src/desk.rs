//! The core behind the window: one request at a time may be long, and can be watched and stopped.
#![allow(clippy::needless_pass_by_value, reason = "a command is handed its arguments")]

use std::{
    collections::HashMap,
    ops::ControlFlow,
    path::Path,
    sync::{
        Arc, Mutex, PoisonError,
        atomic::{AtomicBool, Ordering},
    },
};

use api::{
    Fault, NativeWorld, Step,
    door::{Door, InFolder, Reply},
    quietly,
};
use base64ct::{Base64, Encoding as _};
use serde_json::{Value, json};
use tauri::{
    State,
    ipc::{InvokeBody, Request, Response},
};

/// The notebook's door with what a long request is at.
pub struct Desk(Arc<Inner>);

struct Inner {
    door: Door,
    /// Bytes that came ahead of their request, by the number that the page gave them: what goes to the office and what a person
    /// adds may be on their way at once.
    brought: Mutex<HashMap<u32, Vec<u8>>>,
    at: Mutex<Option<Step>>,
    stops: AtomicBool,
}

impl Desk {
    /// Opens the notebook in this folder.
    ///
    /// # Errors
    /// A folder that cannot be read; a file that is no notebook, or one of a later form.
    pub fn open(folder: &Path) -> Result<Self, Fault> {
        let door = Door::open(Box::new(InFolder(folder.to_owned())), Box::new(NativeWorld))?;
        Ok(Self(Arc::new(Inner {
            door,
            brought: Mutex::default(),
            at: Mutex::default(),
            stops: AtomicBool::default(),
        })))
    }

    /// The bytes that came ahead under this number.
    pub fn take_brought(&self, number: u32) -> Vec<u8> {
        lock(&self.0.brought).remove(&number).unwrap_or_default()
    }
}

/// Takes bytes that belong to a request to come, under a number: as they are, the number in a header, where a system passes
/// them on so; else as base64 in pieces that follow each other, the first with `begins`.
#[tauri::command]
pub fn bring(request: Request<'_>, desk: State<'_, Desk>) -> Result<(), Value> {
    let mut brought = lock(&desk.0.brought);
    let refused = || json!({ "code": "bytes-expected", "message": "Got no bytes.", "hint": "Choose the file again." });
    match request.body() {
        InvokeBody::Raw(bytes) => {
            let number = request.headers().get("number").and_then(|value| value.to_str().ok()?.parse().ok());
            brought.insert(number.ok_or_else(refused)?, bytes.clone());
        }
        InvokeBody::Json(piece) => {
            let bytes = piece["base64"].as_str().and_then(|text| Base64::decode_vec(text).ok()).ok_or_else(refused)?;
            let number = piece["number"].as_u64().and_then(|number| u32::try_from(number).ok()).ok_or_else(refused)?;
            if piece["begins"] == true {
                brought.remove(&number);
            }
            brought.entry(number).or_default().extend(bytes);
        }
    }
    Ok(())
}

/// Answers a request with what was brought for it: the length of its JSON in four bytes, the JSON, the bytes that were asked
/// for. One that is `watched` tells how far it is, and can be stopped.
#[tauri::command]
pub async fn ask(
    request: String,
    brought: Option<u32>,
    watched: bool,
    desk: State<'_, Desk>,
) -> Result<Response, Value> {
    let bytes = brought.map(|number| desk.take_brought(number)).unwrap_or_default();
    let inner = Arc::clone(&desk.0);
    let answered = tauri::async_runtime::spawn_blocking(move || inner.answer(&request, &bytes, watched)).await;
    let gone = |error: tauri::Error| json!({ "code": "core", "message": error.to_string(), "hint": "Open the app again; what is stored stays stored." });
    answered
        .map_err(gone)?
        .map(Response::new)
        .map_err(|fault| json!({ "code": fault.code, "message": fault.message, "hint": fault.hint }))
}

/// How far the watched request is that runs.
#[tauri::command]
pub fn step(desk: State<'_, Desk>) -> Value {
    let Some(step) = *lock(&desk.0.at) else { return Value::Null };
    let (done, of) = match step {
        Step::Photographs { done, of } => (Some(done), Some(of)),
        _ => (None, None),
    };
    json!({ "words": step.to_string(), "done": done, "of": of })
}

/// Ends the watched request that runs, at its next step.
#[tauri::command]
pub fn stop(desk: State<'_, Desk>) {
    desk.0.stops.store(true, Ordering::Relaxed);
}

impl Inner {
    fn answer(&self, request: &str, bytes: &[u8], watched: bool) -> Result<Vec<u8>, Fault> {
        let reply =
            if watched { self.answer_watched(request, bytes) } else { self.door.call(request, bytes, &quietly) }?;
        Ok(framed(&reply.answer, reply.bytes.as_deref().unwrap_or_default()))
    }

    fn answer_watched(&self, request: &str, bytes: &[u8]) -> Result<Reply, Fault> {
        self.stops.store(false, Ordering::Relaxed);
        let reply = self.door.call(request, bytes, &|step| {
            *lock(&self.at) = Some(step);
            if self.stops.load(Ordering::Relaxed) { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
        });
        *lock(&self.at) = None;
        reply
    }
}

/// JSON with bytes behind it: its length in four bytes, it, they.
pub fn framed(json: &Value, bytes: &[u8]) -> Vec<u8> {
    let json = json.to_string().into_bytes();
    let length = u32::try_from(json.len()).unwrap_or(u32::MAX).to_be_bytes();
    [&length, json.as_slice(), bytes].concat()
}

/// What it guards is whole after every statement, so a panic in between left nothing half.
fn lock<T>(mutex: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
