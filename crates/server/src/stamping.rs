//! The office asks an authority for a timestamp of each report that it took (RFC 3161), beside everything else that it does.
//!
//! A report's token lies on the shelf, where everybody may read it; what is there is not asked for again. The authority sees
//! a digest of the signature and nothing of the report.

use std::{collections::BTreeMap, sync::Arc, time::Duration};

use chrono::{DateTime, TimeDelta, Utc};
use seal::sealing::{ask_for_timestamp, has_timestamp, read_token};
use serde_json::json;

use crate::{
    authority::AskAuthority,
    http::Office,
    papers::timestamp_path,
    store::{FirmId, ReportRow, StoreError},
    taking::read_whole,
};

/// How often it is looked for new reports.
const LOOK: Duration = Duration::from_secs(30);
/// How long an authority that failed is left alone, at first; doubled each time.
const FIRST_REST: TimeDelta = TimeDelta::minutes(1);
/// And at most.
const LONGEST_REST: TimeDelta = TimeDelta::hours(6);

/// What came of one step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Stamped {
    /// A report has its token now.
    One,
    /// Every report has one, or takes none.
    All,
    /// The authority failed, and is left alone until then.
    Rests {
        /// Until when.
        until: DateTime<Utc>,
        /// Why; none where it rested already.
        why: Option<String>,
    },
}

/// Goes through an office's reports.
pub struct Stamper {
    office: Arc<Office>,
    authority: Arc<dyn AskAuthority>,
    /// How many of a firm's reports are done with.
    done: BTreeMap<FirmId, u64>,
    failures: u32,
    rests_until: Option<DateTime<Utc>>,
}

impl Stamper {
    /// One that begins with the office's first report.
    pub fn new(office: Arc<Office>, authority: Arc<dyn AskAuthority>) -> Self {
        Self { office, authority, done: BTreeMap::new(), failures: 0, rests_until: None }
    }

    /// Asks for the token of the next report that lacks one. It waits for the authority.
    ///
    /// # Errors
    /// The store; the same report is looked at again.
    pub fn step(&mut self) -> Result<Stamped, StoreError> {
        let now = self.office.world.now();
        if let Some(until) = self.rests_until.filter(|until| now < *until) {
            return Ok(Stamped::Rests { until, why: None });
        }
        let firms: Vec<FirmId> = self.office.logs.keys().cloned().collect();
        for firm in firms {
            if let Some((report, sealed)) = self.next(&firm)? {
                let token = match self.ask(&sealed) {
                    Ok(token) => token,
                    Err(why) => return Ok(self.rest(now, why)),
                };
                (self.failures, self.rests_until) = (0, None);
                self.office.shelf.put(&firm, &timestamp_path(&report.identity), &token)?;
                self.done.insert(firm, report.number);
                return Ok(Stamped::One);
            }
        }
        Ok(Stamped::All)
    }

    /// The firm's next report without a token, with its file.
    fn next(&mut self, firm: &FirmId) -> Result<Option<(ReportRow, Vec<u8>)>, StoreError> {
        let office = &self.office;
        loop {
            let done = self.done.get(firm).copied().unwrap_or_default();
            let Some(report) = office.rows.reports_after(firm, done, 1, None)?.into_iter().next() else {
                return Ok(None);
            };
            if office.shelf.read(firm, &timestamp_path(&report.identity))?.is_none() {
                let sealed = read_whole(office.blobs.as_ref(), firm, &report.sha256, report.length)?;
                // One that came with a token has its own.
                if !has_timestamp(&sealed) {
                    return Ok(Some((report, sealed)));
                }
            }
            self.done.insert(firm.clone(), report.number);
        }
    }

    fn ask(&self, sealed: &[u8]) -> Result<Vec<u8>, String> {
        let question = ask_for_timestamp(sealed).map_err(|error| error.to_string())?;
        let answer = self.authority.ask(&question).map_err(|error| error.to_string())?;
        read_token(sealed, &answer).map_err(|error| error.to_string())
    }

    fn rest(&mut self, now: DateTime<Utc>, why: String) -> Stamped {
        let doubled = FIRST_REST * 2_i32.saturating_pow(self.failures.min(16));
        let until = now + doubled.min(LONGEST_REST);
        self.failures = self.failures.saturating_add(1);
        self.rests_until = Some(until);
        Stamped::Rests { until, why: Some(why) }
    }
}

/// Asks for each report's token, for as long as it is awaited. A line is told where the authority or the store failed.
pub async fn stamp_reports(office: Arc<Office>, authority: Arc<dyn AskAuthority>) {
    let tell = |line: serde_json::Value| (office.tell)(&line.to_string());
    let mut stamper = Stamper::new(Arc::clone(&office), authority);
    loop {
        let stepped = tokio::task::spawn_blocking(move || {
            let stepped = stamper.step();
            (stamper, stepped)
        })
        .await;
        // The thread fell over: with it went what was done, which the shelf knows.
        let Ok((back, stepped)) = stepped else { return };
        stamper = back;
        let at = office.world.now().to_rfc3339();
        match stepped {
            Ok(Stamped::One) => continue,
            Ok(Stamped::Rests { why: Some(why), until }) => {
                tell(json!({"at": at, "timestamp": why, "again": until.to_rfc3339()}));
            }
            Ok(Stamped::All | Stamped::Rests { .. }) => {}
            Err(_) => tell(json!({"at": at, "timestamp": "failed"})),
        }
        tokio::time::sleep(LOOK).await;
    }
}
