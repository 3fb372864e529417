//! What a device asks next, given what it has and what was answered.

mod fetching;
mod hearing;
mod reports;

pub use reports::OwnReport;

use std::collections::{BTreeMap, BTreeSet};

use model::{Carried, Sha256};
use serde::de::DeserializeOwned;

use crate::{
    message::{
        Ask, Awaited, Finish, Follow, Issued, MOST_ASKED_BYTES, PIECE_BYTES, State, Wanted, content_digest, pieces,
    },
    pause::{later_ms, pause_ms},
};

/// What the courier needs of a device's notebook. What a function has said it did is stored when it returns.
pub trait Book {
    /// Why the notebook did not do it.
    type Fault;

    /// What is remembered of the office.
    fn state(&self) -> Result<State, Self::Fault>;

    /// Remembers it.
    fn keep_state(&mut self, state: &State) -> Result<(), Self::Fault>;

    /// How many entries this device has written.
    fn own(&self) -> Result<u64, Self::Fault>;

    /// Entries of this device after so many, in their order, of so many bytes at most but at least one.
    fn own_after(&self, after: u64, most_bytes: usize) -> Result<Vec<Carried>, Self::Fault>;

    /// Takes in entries; those that are there are left.
    fn take_in(&mut self, entries: &[Carried]) -> Result<(), Self::Fault>;

    /// The bytes of a photograph or recording; none where it is not here.
    fn blob(&self, sha256: &Sha256) -> Result<Option<Vec<u8>>, Self::Fault>;

    /// Whether it is here, or may not be here any more.
    fn is_settled(&self, one: &Awaited) -> Result<bool, Self::Fault>;

    /// Stores one whose digest was checked.
    fn store(&mut self, one: &Awaited, bytes: &[u8]) -> Result<(), Self::Fault>;

    /// The reports that lack their receipt or that the office is not known to have, the oldest first.
    fn untold_reports(&self) -> Result<Vec<OwnReport>, Self::Fault>;

    /// What a log has to know of such a report; none where it is damaged.
    fn issued(&self, identity: &Sha256) -> Result<Option<Issued>, Self::Fault>;

    /// Its bytes; none where it is damaged.
    fn report(&self, identity: &Sha256) -> Result<Option<Vec<u8>>, Self::Fault>;

    /// Puts the log's receipt into it. Whether it is a receipt of this report.
    fn add_receipt(&mut self, identity: &Sha256, receipt: &str) -> Result<bool, Self::Fault>;

    /// Whether a report is here that has no timestamp of an authority.
    fn lacks_timestamp(&self, identity: &Sha256) -> Result<bool, Self::Fault>;

    /// Puts an authority's timestamp into it. Whether it is one over this report's signature.
    fn add_timestamp(&mut self, identity: &Sha256, token: &[u8]) -> Result<bool, Self::Fault>;

    /// The office has this report. Whether it is here as well.
    fn keep_told(&mut self, identity: &Sha256) -> Result<bool, Self::Fault>;

    /// A statement that a report does not stand, which was signed here and the office does not have: its name and it.
    fn untold_statement(&self) -> Result<Option<(String, String)>, Self::Fault>;

    /// The office has the statement of this name.
    fn keep_stated(&mut self, name: &str) -> Result<(), Self::Fault>;

    /// The office has none of this device's reports and statements, as far as is known.
    fn forget_told(&mut self) -> Result<(), Self::Fault>;

    /// A new name for this device, and a token for it of 64 hexadecimal digits.
    fn draw_name(&mut self) -> Result<(model::DeviceId, String), Self::Fault>;

    /// Goes on under that name: this device's entries from this number on become the new one's, the first one first.
    fn go_on_as(&mut self, name: &model::DeviceId, token: &str, from: u64) -> Result<(), Self::Fault>;
}

/// How a request is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Method {
    /// Reads.
    Get,
    /// Puts a piece in its place.
    Put,
    /// Tells and asks.
    Post,
}

/// A request that is to be made as it stands, with the device's token.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Errand {
    /// How.
    pub method: Method,
    /// Where, below the office's address.
    pub path: String,
    /// The header `Content-Digest`.
    pub content_digest: Option<String>,
    /// What goes with it.
    pub body: Vec<u8>,
}

/// What came of an errand: a status with bytes, or nothing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Answered {
    /// The office answered.
    Status(u16, Vec<u8>),
    /// It, or what stands before it, asks to be left alone for so many ms.
    Later(u64),
    /// It was not reached, or did not answer to the end.
    Nothing,
}

impl Answered {
    /// A status with bytes, and how many ms the answer's `Retry-After` asks for (RFC 9110 §10.2.3), where it has one. It is
    /// heeded with 429 and 503, for which it is defined as this courier needs it; with others it says something else.
    pub fn with(status: u16, body: Vec<u8>, retry_after_ms: Option<u64>) -> Self {
        match (status, retry_after_ms) {
            (429 | 503, Some(ms)) => Self::Later(ms),
            _ => Self::Status(status, body),
        }
    }
}

/// What is to be done next.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Next {
    /// Make this request, then tell what came of it.
    Ask(Errand),
    /// Wait so many ms, or until the network is back, then ask again.
    Wait(u64),
    /// All is told.
    Done,
    /// A person has to look.
    Halt(Halt),
}

/// Why it does not go on by itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Halt {
    /// The office does not know this device any more.
    ShutOut,
    /// The office refused what was asked, with its code and its words.
    Refused(String),
}

/// What waits to be sent.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Waiting {
    /// Entries that the office does not have yet.
    pub entries: u64,
    /// Photographs and recordings that it has asked for.
    pub blobs: usize,
    /// Sealed reports that it does not have yet.
    pub reports: usize,
    /// Those that this device lacks and fetches.
    pub awaited: usize,
    /// Those that it fetches when somebody asks.
    pub left: usize,
}

/// What the last errand was about.
#[derive(Debug, Clone)]
enum Out {
    /// The row was told up to this number, of so many entries that there were.
    Exchange {
        told: u64,
        own: u64,
    },
    Piece {
        sha256: Sha256,
        nth: u64,
    },
    Finish {
        sha256: Sha256,
    },
    Fetch {
        one: Awaited,
    },
    Receipt {
        identity: Sha256,
    },
    Bring {
        identity: Sha256,
        sha256: Sha256,
    },
    State {
        name: String,
    },
    Follow,
}

/// Whether an answer was one to the errand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Took {
    It,
    /// It was, and what was carried did not arrive as it was sent.
    Spoilt,
    Nothing,
}

/// Carries between a notebook and the office, one errand at a time.
#[derive(Debug, Default)]
pub struct Courier {
    /// The office has answered since this began, and had nothing more to show.
    is_told: bool,
    wants: Vec<Wanted>,
    /// Something of that was given since: there may be more than was named at once.
    has_given: bool,
    /// Up to where this device lacks some of what is named: it must not stand before the rest.
    wants_after: Option<Sha256>,
    /// The one that is being sent, so that its bytes are read once.
    sending: Option<(Sha256, Vec<u8>)>,
    /// What came of one that is being fetched.
    fetched: BTreeMap<Sha256, Vec<u8>>,
    /// How often one was asked for and did not come as it is.
    missed: BTreeMap<Sha256, u32>,
    /// What the office has and gives as something else.
    damaged: BTreeSet<Sha256>,
    /// What the office does not have either, or this device cannot give.
    not_now: BTreeSet<Sha256>,
    /// The file of the report that is on its way.
    bringing: Option<Sha256>,
    /// Reports that the office does not take, or this device cannot give.
    reports_not_now: BTreeSet<Sha256>,
    /// Statements that the office does not take.
    statements_not_now: BTreeSet<String>,
    /// A row that forked, from which number on, and the name under which it goes on: the same however often it is told.
    forked: Option<(u64, Follow)>,
    out: Option<Out>,
    failures: u32,
    pause: Option<u64>,
    halt: Option<Halt>,
}

impl Courier {
    /// A courier that asks everything from the beginning; what was told before is known from the notebook.
    pub fn new() -> Self {
        Self::default()
    }

    /// Begins again, as a while later: what could not be had is asked for once more, but not what is damaged where it lies.
    pub fn begin_again(&mut self) {
        *self = Self { damaged: std::mem::take(&mut self.damaged), ..Self::default() };
    }

    /// What waits, for a person to see.
    ///
    /// # Errors
    /// The notebook's own.
    pub fn waiting<B: Book>(&self, book: &B) -> Result<Waiting, B::Fault> {
        let state = book.state()?;
        Ok(Waiting {
            entries: book.own()?.saturating_sub(state.held),
            blobs: self
                .wants
                .iter()
                .filter(|one| !self.not_now.contains(&one.sha256) && self.bringing != Some(one.sha256))
                .count(),
            reports: book.untold_reports()?.iter().filter(|one| !one.is_told).count(),
            awaited: state.awaited.iter().filter(|one| state.fetches(one)).count(),
            left: state.awaited.iter().filter(|one| !state.fetches(one)).count(),
        })
    }

    /// What to do next: entries, then statements, sealed reports, photographs; what is written here before what others
    /// wrote.
    ///
    /// # Errors
    /// The notebook's own.
    pub fn next<B: Book>(&mut self, book: &mut B) -> Result<Next, B::Fault> {
        if let Some(halt) = &self.halt {
            return Ok(Next::Halt(halt.clone()));
        }
        if let Some(pause) = self.pause.take() {
            return Ok(Next::Wait(pause));
        }
        if let Some((_, follow)) = &self.forked {
            let errand = post("v1/follow", follow);
            return Ok(self.ask(Out::Follow, errand));
        }
        let state = book.state()?;
        let own = book.own()?;
        if !self.is_told || own > state.held {
            let entries = book.own_after(state.held, MOST_ASKED_BYTES)?;
            let told = entries.last().map_or(state.held.min(own), |last| last.id.seq);
            let unstamped = Some(if state.stamps { state.first_unstamped() } else { Vec::new() });
            // What is new may be named anywhere.
            self.wants_after = self.wants_after.filter(|_| entries.is_empty());
            let State { epoch, seen, reports_seen, .. } = state;
            let ask = Ask { epoch, seen, own, entries, reports_seen, unstamped, wants_after: self.wants_after };
            return Ok(self.ask(Out::Exchange { told, own }, post("v1/sync", &ask)));
        }
        if let Some(next) = self.next_report(book)? {
            return Ok(next);
        }
        if let Some(next) = self.next_piece(book)? {
            return Ok(next);
        }
        let lacked = self.wants.iter().map(|one| one.sha256).max();
        if self.has_given || lacked > self.wants_after {
            self.wants_after = lacked.max(self.wants_after);
            self.is_told = false;
            return self.next(book);
        }
        Ok(self.next_fetch(book, state)?.unwrap_or(Next::Done))
    }

    fn next_piece<B: Book>(&mut self, book: &B) -> Result<Option<Next>, B::Fault> {
        while let Some(wanted) = self.wants.iter().find(|one| !self.not_now.contains(&one.sha256)).cloned() {
            let sha256 = wanted.sha256;
            if self.sending.as_ref().is_none_or(|(sending, _)| *sending != sha256) {
                self.sending = book.blob(&sha256)?.map(|bytes| (sha256, bytes));
            }
            let Some((_, bytes)) = &self.sending else {
                self.not_now.insert(sha256);
                continue;
            };
            let length = bytes.len() as u64;
            let next = (0..pieces(length)).find(|nth| !wanted.pieces.contains(nth));
            let (out, errand) = match next {
                Some(nth) => {
                    let start = (nth * PIECE_BYTES) as usize;
                    let body = bytes[start..bytes.len().min(start + PIECE_BYTES as usize)].to_vec();
                    let path = format!("v1/blobs/{sha256}/{nth}");
                    let content_digest = Some(content_digest(&body));
                    (Out::Piece { sha256, nth }, Errand { method: Method::Put, path, content_digest, body })
                }
                None => (Out::Finish { sha256 }, post(&format!("v1/blobs/{sha256}"), &Finish { length })),
            };
            return Ok(Some(self.ask(out, errand)));
        }
        self.sending = None;
        Ok(None)
    }

    fn ask(&mut self, out: Out, errand: Errand) -> Next {
        self.out = Some(out);
        Next::Ask(errand)
    }

    /// Takes what came of the last errand. `draw` is any random number: it spreads the pauses.
    ///
    /// # Errors
    /// The notebook's own; the errand is made again then.
    pub fn heard<B: Book>(&mut self, book: &mut B, answered: Answered, draw: u64) -> Result<(), B::Fault> {
        let Some(out) = self.out.take() else { return Ok(()) };
        match answered {
            Answered::Later(ms) => {
                self.fail(draw);
                self.pause = self.pause.map(|pause| later_ms(pause, ms, draw));
            }
            Answered::Nothing | Answered::Status(408 | 425 | 429, _) => self.fail(draw),
            Answered::Status(500..=599, _) => {
                self.miss_again(&out);
                self.fail(draw);
            }
            Answered::Status(401, _) => self.halt = Some(Halt::ShutOut),
            Answered::Status(status, body) => {
                match self.take(book, out, status, &body)? {
                    Took::It => self.failures = 0,
                    Took::Nothing if (400..500).contains(&status) => {
                        self.halt = Some(Halt::Refused(String::from_utf8_lossy(&body).chars().take(500).collect()));
                    }
                    // Something between the office and this device answered in its place, or spoilt what was sent.
                    Took::Nothing | Took::Spoilt => self.fail(draw),
                }
            }
        }
        Ok(())
    }

    fn fail(&mut self, draw: u64) {
        self.failures = self.failures.saturating_add(1);
        self.pause = Some(pause_ms(self.failures, draw));
    }
}

fn post(path: &str, message: &impl serde::Serialize) -> Errand {
    let body = serde_json::to_vec(message).unwrap_or_default();
    Errand { method: Method::Post, path: path.to_owned(), content_digest: Some(content_digest(&body)), body }
}

fn read<T: DeserializeOwned>(body: &[u8]) -> Option<T> {
    serde_json::from_slice(body).ok()
}
