//! A device and its office: the notebook as the courier needs it, and what a page asks of both.

use std::{io::Read as _, sync::PoisonError};

use chrono::SubsecRound as _;
use model::{Carried, DeviceId, Sha256};
use notebook::{Notebook, NotebookError, Photo};
use serde_json::{Value, json};
use sync::{Answered, Awaited, Book, Courier, Errand, Halt, Kind, Method, Next, State, Waiting};

use super::{Door, OfficeHeader, OfficeNext, OfficeView, Reply, Source, error::DoorError, name_device};
use crate::Fault;

/// Where the notebook keeps what it remembers of the office.
const STATE: &str = "office.state";
/// Where it keeps the token with which the office lets this device in.
const TOKEN: &str = "office.token";
/// Where it keeps the office's name for the firm.
const FIRM: &str = "office.firm";
/// Where it keeps when all was told last.
const TOLD_AT: &str = "office.told-at";

/// What this device has to do with an office.
pub(super) fn describe(door: &Door) -> Result<OfficeView, DoorError> {
    let mut book = door.book();
    let kept = |name: &str| book.kept(name).map(|value| value.filter(|value| !value.is_empty()));
    let (firm, told_at) = (kept(FIRM)?, kept(TOLD_AT)?.and_then(|at| at.parse().ok()));
    let Waiting { entries, blobs, awaited } =
        courier(door).waiting(&OfficeBook::new(&mut book, door.source.as_ref())).map_err(relay)?;
    Ok(OfficeView { firm, entries, blobs, awaited, told_at })
}

fn courier(door: &Door) -> std::sync::MutexGuard<'_, Courier> {
    door.courier.lock().unwrap_or_else(PoisonError::into_inner)
}

fn relay(fault: Fault) -> DoorError {
    DoorError::Told(Box::new(fault))
}

/// The request with which this device asks to be let in.
pub(super) fn ask_to_join(door: &Door, code: &str) -> Result<Reply, DoorError> {
    let asked = json!({"code": code.trim(), "device": door.book().device()});
    let body = asked.to_string().into_bytes();
    let next = OfficeNext::Ask { method: "POST".to_owned(), path: "v1/enrol".to_owned(), headers: Vec::new() };
    Ok(Reply { bytes: Some(body), ..super::json(&next)? })
}

/// Keeps what the office answered to that.
pub(super) fn join(door: &Door, status: u16, answer: &[u8]) -> Result<OfficeView, DoorError> {
    let answer: Value = serde_json::from_slice(answer).unwrap_or_default();
    let (Some(token), Some(firm), 200) = (answer["token"].as_str(), answer["firm"].as_str(), status) else {
        let words = answer["fault"]["message"].as_str().unwrap_or("what is at this address is no office");
        return Err(DoorError::NotJoined(words.to_owned()));
    };
    {
        let book = door.book();
        // Another office has another count: everything is told anew.
        for (name, value) in
            [(STATE, "{\"epoch\":null,\"seen\":0,\"held\":0,\"awaited\":[]}"), (TOLD_AT, ""), (TOKEN, token)]
        {
            book.keep(name, value)?;
        }
        // The firm's name last: with it the device is let in.
        book.keep(FIRM, firm)?;
    }
    *courier(door) = Courier::new();
    describe(door)
}

/// Forgets the office.
pub(super) fn leave(door: &Door) -> Result<OfficeView, DoorError> {
    for name in [FIRM, TOKEN, TOLD_AT] {
        door.book().keep(name, "")?;
    }
    *courier(door) = Courier::new();
    describe(door)
}

/// What to ask next.
pub(super) fn next(door: &Door, begin: bool) -> Result<Reply, DoorError> {
    let (mut book, mut courier) = (door.book(), courier(door));
    if begin {
        *courier = Courier::new();
    }
    let mut lent = OfficeBook::new(&mut book, door.source.as_ref());
    let Some(token) = lent.token().map_err(relay)?.filter(|token| !token.is_empty()) else {
        return Err(DoorError::NotJoined("no office lets this device in".to_owned()));
    };
    let next = courier.next(&mut lent).map_err(relay)?;
    let next = match next {
        Next::Ask(Errand { method, path, content_digest, body }) => {
            let method = match method {
                Method::Get => "GET",
                Method::Put => "PUT",
                Method::Post => "POST",
            };
            let mut headers = vec![OfficeHeader { name: "Authorization", value: format!("Bearer {token}") }];
            headers.extend(content_digest.map(|value| OfficeHeader { name: "Content-Digest", value }));
            let ask = OfficeNext::Ask { method: method.to_owned(), path, headers };
            return Ok(Reply { bytes: Some(body), ..super::json(&ask)? });
        }
        Next::Wait(ms) => OfficeNext::Wait { ms },
        Next::Done => {
            book.keep(TOLD_AT, &door.source.now().trunc_subsecs(0).to_rfc3339())?;
            OfficeNext::Done
        }
        Next::Halt(Halt::ShutOut) => OfficeNext::Halt {
            words: "The office does not let this device in any more. Ask it for a new code.".to_owned(),
        },
        Next::Halt(Halt::Refused(answer)) => {
            let answer: Value = serde_json::from_str(&answer).unwrap_or_default();
            let words = answer["fault"]["message"].as_str().unwrap_or("no reason was given");
            OfficeNext::Halt { words: format!("The office refused what was sent: {words}.") }
        }
    };
    super::json(&next)
}

/// Takes what came of it.
pub(super) fn heard(door: &Door, status: Option<u16>, answer: &[u8]) -> Result<OfficeView, DoorError> {
    let mut draw = [0; 8];
    door.source.fill_random(&mut draw).map_err(DoorError::Randomness)?;
    {
        let (mut book, mut courier) = (door.book(), courier(door));
        let answered = status.map_or(Answered::Nothing, |status| Answered::Status(status, answer.to_vec()));
        let mut lent = OfficeBook::new(&mut book, door.source.as_ref());
        courier.heard(&mut lent, answered, u64::from_be_bytes(draw)).map_err(relay)?;
    }
    describe(door)
}

/// A notebook, lent to the courier.
pub struct OfficeBook<'a> {
    book: &'a mut Notebook,
    source: &'a dyn Source,
}

impl<'a> OfficeBook<'a> {
    /// Lends the notebook; randomness comes from the source.
    pub fn new(book: &'a mut Notebook, source: &'a dyn Source) -> Self {
        Self { book, source }
    }

    /// The token with which the office lets this device in.
    ///
    /// # Errors
    /// The notebook.
    pub fn token(&self) -> Result<Option<String>, Fault> {
        told(self.book.kept(TOKEN))
    }

    /// Keeps a token.
    ///
    /// # Errors
    /// The notebook.
    pub fn keep_token(&self, token: &str) -> Result<(), Fault> {
        told(self.book.keep(TOKEN, token))
    }
}

fn told<T>(done: Result<T, impl Into<DoorError>>) -> Result<T, Fault> {
    done.map_err(|error| Fault::from(error.into()))
}

impl Book for OfficeBook<'_> {
    type Fault = Fault;

    fn state(&self) -> Result<State, Fault> {
        let Some(text) = told(self.book.kept(STATE))? else { return Ok(State::default()) };
        told(serde_json::from_str(&text).map_err(DoorError::Answer))
    }

    fn keep_state(&mut self, state: &State) -> Result<(), Fault> {
        let text = told(serde_json::to_string(state).map_err(DoorError::Answer))?;
        told(self.book.keep(STATE, &text))
    }

    fn own(&self) -> Result<u64, Fault> {
        told(self.book.own_count())
    }

    fn own_after(&self, after: u64, most_bytes: usize) -> Result<Vec<Carried>, Fault> {
        told(self.book.own_after(after, most_bytes))
    }

    fn take_in(&mut self, entries: &[Carried]) -> Result<(), Fault> {
        told(self.book.take_in(entries).map(|_| ()))
    }

    fn blob(&self, sha256: &Sha256) -> Result<Option<Vec<u8>>, Fault> {
        let name = sha256.to_string();
        // A damaged one is not sent; another device may have it whole.
        let gone =
            |error: &NotebookError| matches!(error, NotebookError::Missing { .. } | NotebookError::Unreadable(_));
        match self.book.original(&name) {
            Err(error) if gone(&error) => {}
            other => return told(other.map(Some)),
        }
        let mut bytes = Vec::new();
        match self.book.recording(&name).map(|mut pieces| pieces.read_to_end(&mut bytes)) {
            Ok(Ok(_)) => Ok(Some(bytes)),
            Ok(Err(_)) => Ok(None),
            Err(error) if gone(&error) => Ok(None),
            Err(error) => told(Err(error)),
        }
    }

    fn is_settled(&self, one: &Awaited) -> Result<bool, Fault> {
        told(self.book.is_settled(&one.inspection, &one.sha256))
    }

    fn store(&mut self, one: &Awaited, bytes: &[u8]) -> Result<(), Fault> {
        let stored = match one.kind {
            Kind::Photograph => {
                let looked = photo::look(bytes).ok();
                let (small, copy) =
                    (looked.as_ref().map(|looked| &looked.small[..]), looked.as_ref().map(|looked| &looked.copy[..]));
                self.book.store_photograph(&one.inspection, Photo { bytes, small, copy }).map(|_| ())
            }
            Kind::Recording => self.book.draft(&one.inspection).and_then(|draft| {
                let begun = draft.entries().iter().map(|entry| entry.written_at).min().unwrap_or_default();
                self.book.store_recording(&one.inspection, "file", &begun, bytes).map(|_| ())
            }),
        };
        match stored {
            // Erased here meanwhile: it stays away.
            Err(NotebookError::Erased { .. }) => Ok(()),
            other => told(other),
        }
    }

    fn draw_name(&mut self) -> Result<(DeviceId, String), Fault> {
        let mut token = [0; 32];
        told(self.source.fill_random(&mut token).map_err(DoorError::Randomness))?;
        Ok((told(name_device(self.source))?, Sha256::new(token).to_string()))
    }

    fn go_on_as(&mut self, name: &DeviceId, token: &str, from: u64) -> Result<(), Fault> {
        told(self.book.go_on_as(name, from, &[(TOKEN, token)]))
    }
}
