//! What the office answered, errand by errand.

use model::Carried;

use super::{Book, Courier, Out, Took, read};
use crate::message::{Answer, Awaited, Follow, Forked, Kind, Sealed, State, named_blob};

impl Courier {
    /// Whether what was answered is an answer to the errand; if so, what it says is kept.
    pub(super) fn take<B: Book>(&mut self, book: &mut B, out: Out, status: u16, body: &[u8]) -> Result<Took, B::Fault> {
        Ok(match (out, status) {
            (Out::Exchange { told, own }, 200) => match read::<Answer>(body) {
                Some(answer) => self.take_answer(book, answer, (told, own))?,
                None => Took::Nothing,
            },
            (Out::Exchange { .. }, 409) => {
                let Some(Forked { at }) = read(body) else { return Ok(Took::Spoilt) };
                let (device, token) = book.draw_name()?;
                self.forked = Some((at, Follow { device, token }));
                Took::It
            }
            (Out::Follow, 204) => {
                let Some((at, follow)) = &self.forked else { return Ok(Took::Nothing) };
                let mut state = book.state()?;
                // The new name's row is told from its beginning. All is heard again: of the old name's row, what other
                // entries stood in the place of was left out. Before the name: without it, it is only told again.
                (state.held, state.seen) = (0, 0);
                book.keep_state(&state)?;
                book.go_on_as(&follow.device, &follow.token, *at)?;
                (self.forked, self.is_told) = (None, false);
                Took::It
            }
            (Out::Piece { sha256, nth }, 200 | 204) => {
                for wanted in self.wants.iter_mut().filter(|one| one.sha256 == sha256) {
                    wanted.pieces.push(nth);
                }
                Took::It
            }
            (Out::Finish { sha256 }, 200 | 204) => {
                self.wants.retain(|one| one.sha256 != sha256);
                self.sending = None;
                self.has_given = true;
                Took::It
            }
            // Pieces were lost or spoilt on the way: the office says anew what it lacks.
            (Out::Piece { .. } | Out::Finish { .. }, 404 | 409 | 422) => {
                self.is_told = false;
                self.wants.clear();
                self.sending = None;
                Took::Spoilt
            }
            (Out::Receipt { identity }, 200) => Self::take_receipt(book, &identity, body)?,
            (Out::Bring { identity, sha256 }, 200) => self.take_brought(book, (&identity, sha256), body)?,
            (Out::State { name }, 200) => Self::take_stated(book, &name, body)?,
            (Out::State { name }, 400 | 403 | 404 | 422) => {
                self.statements_not_now.insert(name);
                Took::It
            }
            // What was asked did not arrive as it was sent.
            (Out::Follow | Out::Receipt { .. } | Out::Bring { .. } | Out::State { .. }, 409) => Took::Spoilt,
            (Out::Receipt { identity } | Out::Bring { identity, .. }, 400 | 403 | 404 | 422) => {
                self.leave_report(identity)
            }
            (Out::Fetch { one }, 200) => self.take_piece(book, &one, body)?,
            // Whoever took it has not sent it yet, or it is nothing for this device.
            (Out::Fetch { one }, 403 | 404) => {
                self.not_now.insert(one.sha256);
                self.fetched.remove(&one.sha256);
                Took::It
            }
            _ => Took::Nothing,
        })
    }

    fn take_answer<B: Book>(
        &mut self,
        book: &mut B,
        mut answer: Answer,
        (told, own): (u64, u64),
    ) -> Result<Took, B::Fault> {
        if !answer.entries.iter().all(Carried::is_true) {
            return Ok(Took::Spoilt);
        }
        let mut state = book.state()?;
        if state.epoch.as_ref().is_some_and(|epoch| *epoch != answer.epoch) {
            // Another count: nothing of it was seen yet, and it has to be told from the beginning.
            // First: once the count is kept, nobody would know that it is another one.
            book.forget_told()?;
            let State { awaited, unstamped, fetches, .. } = state;
            let state = State { epoch: Some(answer.epoch), awaited, unstamped, fetches, ..State::default() };
            book.keep_state(&state)?;
            self.is_told = false;
            return Ok(Took::It);
        }
        // That the office has more of the row than was told to it says nothing of what stands there: another may have
        // gone under this name. What comes back of the row goes behind all that is here, and is heard when that is told.
        let is_whole = told == own && book.own()? == own;
        let rest = if is_whole { Vec::new() } else { book.own_after(told, 0)? };
        if rest.first().is_some_and(|next| answer.entries.iter().any(|entry| entry.id.device == next.id.device)) {
            (answer.entries, answer.seen) = (Vec::new(), state.seen);
        }
        book.take_in(&answer.entries)?;
        let held = answer.held.min(if is_whole { book.own()? } else { told });
        for one in answer.entries.iter().filter_map(|entry| named_blob(entry.body.as_ref()?)) {
            if !state.awaited.contains(&one) && !book.is_settled(&one)? {
                state.awaited.push(one);
            }
        }
        let untold = if answer.reports.is_empty() { Vec::new() } else { book.untold_reports()? };
        for Sealed { identity, sha256 } in answer.reports {
            // The answer to whoever brought it was lost.
            if untold.iter().any(|own| own.identity == identity && !own.is_told) {
                Self::await_stamp(book, &mut state, &identity)?;
            }
            let one = Awaited { inspection: None, kind: Kind::Report, sha256 };
            if !book.keep_told(&identity)? && !state.awaited.contains(&one) {
                state.awaited.push(one);
            }
        }
        let (sent, has_moved) = (
            told > state.held,
            held != state.held || answer.seen != state.seen || answer.reports_seen != state.reports_seen,
        );
        (state.epoch, state.seen, state.held) = (Some(answer.epoch), answer.seen, held);
        state.reports_seen = answer.reports_seen;
        Self::take_stamps(book, &mut state, answer.stamps)?;
        book.keep_state(&state)?;
        if answer.wants.is_empty() {
            self.wants_after = None;
        }
        (self.wants, self.has_given) = (answer.wants, false);
        // A report that is on its way goes on before all else.
        self.wants.sort_by_key(|one| self.bringing != Some(one.sha256));
        self.is_told = !answer.more;
        // Entries that were sent and not taken, and nothing else: asking again at once would be the same again.
        Ok(if has_moved || !(sent || answer.more) { Took::It } else { Took::Spoilt })
    }
}
