//! The field app's core in a worker: the notebook in the browser's private storage, and the door to it.

use std::{cell::RefCell, io, ops::ControlFlow};

use api::{
    Fault, Step,
    door::{Door, InMemory, Shelf, Source, file_name, find_numbers},
};
use chrono::{DateTime, Utc};
use js_sys::{Function, Uint8Array};
use notebook::Connection;
use sqlite_wasm_rs::vfs::VfsFilesManager as _;
use sqlite_wasm_vfs::sahpool::{OpfsSAHPoolCfgBuilder, OpfsSAHPoolUtil, install};
use wasm_bindgen::prelude::{JsError, JsValue, wasm_bindgen};

/// Where the notebook lies in the origin's private storage.
const FOLDER: &str = "rimside";
/// A notebook and its log, and one more of each while a damaged one is brought over.
const FILES_AT_ONCE: usize = 8;

thread_local! {
    // The progress of an operation is told from deep inside, where only what may cross threads may go.
    static TELL: RefCell<Option<Function>> = const { RefCell::new(None) };
    // The worker is one thread, and its storage belongs to it.
    static POOL: RefCell<Option<OpfsSAHPoolUtil>> = const { RefCell::new(None) };
}

/// The origin's private storage.
struct Private;

impl Shelf for Private {
    fn numbers(&self) -> Result<Vec<u32>, String> {
        let names = POOL.with_borrow(|pool| pool.as_ref().map_or_else(|| Ok(Vec::new()), OpfsSAHPoolUtil::names));
        Ok(find_numbers(names.map_err(|error| error.to_string())?))
    }

    fn open(&self, number: u32) -> Result<Connection, String> {
        Connection::open(file_name(number)).map_err(|error| error.to_string())
    }

    fn name(&self, number: u32) -> String {
        format!("{} in the browser's storage", file_name(number))
    }
}

/// The browser's clock and randomness.
struct Browser;

impl Source for Browser {
    fn now(&self) -> DateTime<Utc> {
        DateTime::from_timestamp_millis(js_sys::Date::now() as i64).unwrap_or_default()
    }

    fn fill_random(&self, bytes: &mut [u8]) -> io::Result<()> {
        getrandom::fill(bytes).map_err(io::Error::other)
    }
}

/// The core of the field app. One worker has it; a second one is refused by the browser's storage.
#[wasm_bindgen]
pub struct Core(Door);

/// What a page is answered.
#[wasm_bindgen(getter_with_clone)]
pub struct Answer {
    /// JSON.
    pub json: String,
    /// The bytes that were asked for.
    pub bytes: Option<Uint8Array>,
}

#[wasm_bindgen]
impl Core {
    /// Opens the notebook.
    ///
    /// # Errors
    /// The storage is refused, or another worker has it; a notebook that this version cannot read.
    #[wasm_bindgen]
    pub async fn open() -> Result<Core, JsError> {
        let place =
            OpfsSAHPoolCfgBuilder::new().vfs_name(FOLDER).directory(FOLDER).initial_capacity(FILES_AT_ONCE).build();
        let told = |error: &dyn std::fmt::Display| JsError::new(&format!("storage: {error}"));
        let pool = install::<sqlite_wasm_rs::WasmOsCallback>(&place, true).await.map_err(|error| told(&error))?;
        let damaged = pool.names().map_err(|error| told(&error))?.len();
        pool.ensure_capacity(damaged + FILES_AT_ONCE).await.map_err(|error| told(&error))?;
        POOL.set(Some(pool));
        Door::open(Box::new(Private), Box::new(Browser)).map(Core).map_err(|fault| JsError::new(&fault.message))
    }

    /// Opens a notebook that is gone with the worker, where a browser keeps nothing.
    ///
    /// # Errors
    /// No memory.
    #[wasm_bindgen(js_name = openInMemory)]
    pub fn open_in_memory() -> Result<Core, JsError> {
        Door::open(Box::new(InMemory), Box::new(Browser)).map(Core).map_err(|fault| JsError::new(&fault.message))
    }

    /// Answers a request; `tell` is called with each step as JSON and may return `false` to stop.
    ///
    /// # Errors
    /// A fault as JSON.
    pub fn call(&self, request: &str, bytes: &[u8], tell: Option<Function>) -> Result<Answer, JsValue> {
        TELL.set(tell);
        let reply = self.0.call(request, bytes, &pass_on);
        TELL.set(None);
        let reply = reply.map_err(|fault| JsValue::from_str(&fault_json(&fault)))?;
        Ok(Answer { json: reply.answer.to_string(), bytes: reply.bytes.map(|bytes| Uint8Array::from(&bytes[..])) })
    }
}

fn pass_on(step: Step) -> ControlFlow<()> {
    let said = TELL.with_borrow(|tell| {
        let tell = tell.as_ref()?;
        tell.call1(&JsValue::NULL, &JsValue::from_str(&step_json(step))).ok()
    });
    if said.is_some_and(|said| said == JsValue::FALSE) { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
}

fn step_json(step: Step) -> String {
    let (done, of) = match step {
        Step::Photographs { done, of } => (Some(done), Some(of)),
        _ => (None, None),
    };
    serde_json::json!({ "words": step.to_string(), "done": done, "of": of }).to_string()
}

fn fault_json(fault: &Fault) -> String {
    serde_json::json!({ "code": fault.code, "message": fault.message, "hint": fault.hint }).to_string()
}
