//! Sealed reports: the receipt first, which is small and says since when; then the file.

use model::Sha256;
use serde_json::Value;

use super::{Book, Courier, Errand, Method, Next, Out, Took, post, read};
use crate::message::{Bring, Brought, MOST_REPORT_BYTES, MOST_UNSTAMPED, Stamp, State, Wanted, content_digest};

/// A report that lacks its receipt or that the office is not known to have.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OwnReport {
    /// The report's identity.
    pub identity: Sha256,
    /// Its log's receipt is in it.
    pub is_receipted: bool,
    /// The office has it: a copy of the notebook that was put back may have forgotten the receipt alone.
    pub is_told: bool,
}

/// Reports that wait for their timestamp at most.
const MOST_AWAITED: usize = 64;

impl State {
    /// The reports to ask about next.
    pub(super) fn first_unstamped(&self) -> Vec<Sha256> {
        self.unstamped.iter().take(MOST_UNSTAMPED).copied().collect()
    }
}

impl Courier {
    /// The next request for a report. One is sent to its end before another begins; that one does not stand any more goes
    /// before all of them.
    pub(super) fn next_report<B: Book>(&mut self, book: &B) -> Result<Option<Next>, B::Fault> {
        if let Some((name, pem)) = book.untold_statement()?.filter(|(name, _)| !self.statements_not_now.contains(name))
        {
            let body = pem.into_bytes();
            let content_digest = Some(content_digest(&body));
            let errand = Errand { method: Method::Post, path: "v1/statements".to_owned(), content_digest, body };
            return Ok(Some(self.ask(Out::State { name }, errand)));
        }
        // Where its bytes were put away, because the office lost some of them, it is brought again.
        let is_sending = self.sending.as_ref().is_some_and(|(sha256, _)| self.bringing == Some(*sha256));
        if is_sending && self.wants.iter().any(|one| self.bringing == Some(one.sha256)) {
            return Ok(None);
        }
        self.bringing = None;
        for OwnReport { identity, is_receipted, is_told } in book.untold_reports()? {
            if self.reports_not_now.contains(&identity) {
                continue;
            }
            if !is_receipted && let Some(issued) = book.issued(&identity)? {
                return Ok(Some(self.ask(Out::Receipt { identity }, post("v1/receipts", &issued))));
            }
            if is_told {
                continue;
            }
            // A damaged one, or one that no office takes, stays here.
            let bytes = book.report(&identity)?.filter(|bytes| bytes.len() as u64 <= MOST_REPORT_BYTES);
            let Some(bytes) = bytes else {
                self.reports_not_now.insert(identity);
                continue;
            };
            let bring = Bring { sha256: Sha256::of(&bytes), length: bytes.len() as u64 };
            self.sending = Some((bring.sha256, bytes));
            return Ok(Some(self.ask(Out::Bring { identity, sha256: bring.sha256 }, post("v1/reports", &bring))));
        }
        Ok(None)
    }

    /// The office entered a statement into the log, and says where. Whoever else answers for it does not.
    pub(super) fn take_stated<B: Book>(book: &mut B, name: &str, answer: &[u8]) -> Result<Took, B::Fault> {
        if !read::<Value>(answer).is_some_and(|answer| answer["entry"].is_u64()) {
            return Ok(Took::Nothing);
        }
        book.keep_stated(name)?;
        Ok(Took::It)
    }

    /// The office's receipt, which has to be this report's.
    pub(super) fn take_receipt<B: Book>(book: &mut B, identity: &Sha256, receipt: &[u8]) -> Result<Took, B::Fault> {
        let is_right = match std::str::from_utf8(receipt) {
            Ok(text) => book.add_receipt(identity, text)?,
            Err(_) => false,
        };
        Ok(if is_right { Took::It } else { Took::Nothing })
    }

    /// The office has the report, or says which pieces it lacks.
    pub(super) fn take_brought<B: Book>(
        &mut self,
        book: &mut B,
        (identity, sha256): (&Sha256, Sha256),
        answer: &[u8],
    ) -> Result<Took, B::Fault> {
        let Some(Brought { here, pieces }) = read(answer) else { return Ok(Took::Nothing) };
        self.wants.retain(|one| one.sha256 != sha256);
        if here {
            self.sending = None;
            // Before the office is known to have it: who is known to have it is not asked for its timestamp anew.
            let mut state = book.state()?;
            Self::await_stamp(book, &mut state, identity)?;
            book.keep_state(&state)?;
            book.keep_told(identity)?;
        } else {
            self.not_now.remove(&sha256);
            self.wants.insert(0, Wanted { sha256, pieces });
            self.bringing = Some(sha256);
        }
        Ok(Took::It)
    }

    /// The office has the report, and may come by a timestamp for it.
    pub(super) fn await_stamp<B: Book>(book: &B, state: &mut State, identity: &Sha256) -> Result<(), B::Fault> {
        if state.unstamped.contains(identity) || !book.lacks_timestamp(identity)? {
            return Ok(());
        }
        state.unstamped.push(*identity);
        // Where no authority ever answers, those that would be asked about next are given up.
        let over = state.unstamped.len().saturating_sub(MOST_AWAITED);
        state.unstamped.drain(..over);
        Ok(())
    }

    /// Puts the timestamps that came into their reports. What is none of a report's here, or one too many, is not asked for
    /// again either.
    pub(super) fn take_stamps<B: Book>(
        book: &mut B,
        state: &mut State,
        stamps: Option<Vec<Stamp>>,
    ) -> Result<(), B::Fault> {
        state.stamps = stamps.is_some();
        // Those that were asked for wait behind the others now: one that never gets a timestamp keeps nobody from theirs.
        let asked = if stamps.is_some() { state.unstamped.len().min(MOST_UNSTAMPED) } else { 0 };
        state.unstamped.rotate_left(asked);
        for stamp in stamps.unwrap_or_default() {
            if !state.unstamped.contains(&stamp.identity) {
                continue;
            }
            if let Some(token) = stamp.read() {
                book.add_timestamp(&stamp.identity, &token)?;
            }
            state.unstamped.retain(|one| *one != stamp.identity);
        }
        Ok(())
    }

    /// The office does not take it, and says why in its own log.
    pub(super) fn leave_report(&mut self, identity: Sha256) -> Took {
        self.reports_not_now.insert(identity);
        self.sending = None;
        Took::It
    }
}
