//! Gathering signatures of witnesses over a log's newest head (C2SP `tlog-witness`).
//!
//! They are asked at once, each within its limit. Whoever is away is left alone for a while, and nobody waits: the head goes
//! without that signature, and the next one asks again.

mod policy;
mod post;

use std::sync::Arc;

use chrono::{DateTime, TimeDelta, Utc};
use log::{AddCheckpoint, Checkpoint, Tree, WitnessKey};

pub use policy::{WitnessLineError, parse_witnesses, spell_witness};
pub use post::HttpWitness;

/// How long a witness that did not answer is left alone.
const REST: TimeDelta = TimeDelta::minutes(1);
const DONE: u16 = 200;
const MOVED: u16 = 409;

/// The way to a witness. It answers within a limit of its own, or fails.
pub trait AskWitness: Send + Sync {
    /// Sends the body of an `add-checkpoint`; the status and the body of the answer come back.
    ///
    /// # Errors
    /// Nobody answered in time.
    fn add_checkpoint(&self, request: &str) -> std::io::Result<(u16, String)>;
}

/// A witness that a log asks.
#[derive(Clone)]
pub struct AskedWitness {
    key: WitnessKey,
    way: Arc<dyn AskWitness>,
    /// How many entries the head had that it signed last, as far as this log knows.
    signed: u64,
    rests_until: Option<DateTime<Utc>>,
}

impl AskedWitness {
    /// The witness with this key, asked in this way.
    pub fn new(key: WitnessKey, way: Arc<dyn AskWitness>) -> Self {
        Self { key, way, signed: 0, rests_until: None }
    }

    /// Asks for its signature over this head, once more if it knows another size than was thought. Its line comes back, if it
    /// is one of its own that stands.
    fn ask(&mut self, tree: &Tree, head: &Checkpoint, now: DateTime<Utc>) -> Option<String> {
        // What it said before may have been false, or of a head that another process showed since: it is asked afresh.
        self.signed = if self.signed > head.size() { 0 } else { self.signed };
        for _ in 0..2 {
            let request = AddCheckpoint::new(tree, self.signed, head.clone())?.to_text();
            let Ok((status, body)) = self.way.add_checkpoint(&request) else {
                self.rests_until = Some(now + REST);
                return None;
            };
            match status {
                DONE => {
                    self.signed = head.size();
                    return body.split_inclusive('\n').find(|line| self.is_own(head, line)).map(str::to_owned);
                }
                MOVED => self.signed = body.strip_suffix('\n')?.parse().ok()?,
                _ => {
                    self.rests_until = Some(now + REST);
                    return None;
                }
            }
        }
        None
    }

    fn is_own(&self, head: &Checkpoint, line: &str) -> bool {
        head.with_signatures(line).is_some_and(|head| self.has_signed(&head))
    }

    fn has_signed(&self, head: &Checkpoint) -> bool {
        matches!(head.cosigned_at(&self.key), Ok(Some(_)))
    }

    fn rests(&self, now: DateTime<Utc>) -> bool {
        self.rests_until.is_some_and(|until| now < until)
    }
}

/// Asks all who have not signed this head yet, at once; it comes back with what they signed.
pub(crate) fn gather(witnesses: &mut [AskedWitness], tree: &Tree, head: &Checkpoint, now: DateTime<Utc>) -> Checkpoint {
    let asked = witnesses.iter_mut().filter(|witness| !witness.rests(now) && !witness.has_signed(head));
    let lines: Vec<String> = std::thread::scope(|scope| {
        let running: Vec<_> = asked.map(|witness| scope.spawn(move || witness.ask(tree, head, now))).collect();
        running.into_iter().filter_map(|one| one.join().ok().flatten()).collect()
    });
    head.with_signatures(&lines.concat()).unwrap_or_else(|| head.clone())
}
