//! A device and its office: the notebook as the courier needs it, and what a page asks of both.

mod address;
mod book;
mod certificate;
mod errand;
mod fetching;
pub(super) mod reports;

pub use book::OfficeBook;
pub(super) use certificate::ask_certificate;
pub(super) use errand::{answered, ask};
pub(super) use fetching::{fetch, fetch_colleagues, left};

use std::sync::PoisonError;

use address::read_address;
use chrono::{DateTime, SubsecRound as _, Utc};
use seal::certificate::Certificate;
use serde_json::{Value, json};
use sync::{Answered, Book as _, Courier, Errand, Fetches, Halt, Method, Next, State, Waiting};

use super::{Door, OfficeHeader, OfficeNext, OfficeRoot, OfficeView, Reply, error::DoorError};
use crate::{Fault, fingerprint_words};

/// Where the notebook keeps what it remembers of the office.
const STATE: &str = "office.state";
/// Where it keeps the token with which the office lets this device in.
const TOKEN: &str = "office.token";
/// Where it keeps the office's address, where the pages do not come from it.
const ADDRESS: &str = "office.address";
/// Where it keeps the office's name for the firm.
const FIRM: &str = "office.firm";
/// Where it keeps what the office lets this device do.
const ROLE: &str = "office.role";
/// Where it keeps the firm's root, as the office showed it when it let this device in.
const ROOT: &str = "office.root";
/// Where it keeps the name and key of the firm's log.
const LOG: &str = "office.log";
/// Where it keeps when all was told last.
const TOLD_AT: &str = "office.told-at";

/// What this device has to do with an office.
pub(super) fn describe(door: &Door) -> Result<OfficeView, DoorError> {
    let mut book = door.book();
    let kept = |name: &str| book.kept(name).map(|value| value.filter(|value| !value.is_empty()));
    let (firm, told_at) = (kept(FIRM)?, kept(TOLD_AT)?.and_then(|at| at.parse().ok()));
    let address = kept(ADDRESS)?.filter(|_| firm.is_some());
    let (role, root) = (kept(ROLE)?, kept(ROOT)?.map(|pem| show_root(&pem)).transpose()?);
    let lent = OfficeBook::new(&mut book, door.source.as_ref());
    let Waiting { entries, blobs, reports, awaited, left } = courier(door).waiting(&lent).map_err(relay)?;
    let State { fetches, seen, .. } = lent.state().map_err(relay)?;
    let fetches_all = fetches == Fetches::All;
    // Only what is asked for here belongs to an office.
    let reports = if firm.is_some() { reports } else { 0 };
    drop(book);
    let asked = certificate::asked(door)?;
    Ok(OfficeView {
        firm,
        address,
        role,
        root,
        asked,
        entries,
        blobs,
        reports,
        awaited,
        left,
        fetches_all,
        seen,
        told_at,
    })
}

/// The firm's root as a person compares it.
fn show_root(pem: &str) -> Result<OfficeRoot, DoorError> {
    let unfit = || DoorError::Unfit("the office's root is no certificate".to_owned());
    let root = Certificate::parse_pem(pem).map_err(|_| unfit())?;
    let fingerprint = root.fingerprint();
    Ok(OfficeRoot {
        firm: root.subject().map_err(|_| unfit())?.organization,
        words: fingerprint_words(&fingerprint),
        fingerprint: fingerprint.to_string(),
    })
}

/// The firm's root and its log's key, where the office showed them: a verdict may rest on them.
pub(super) fn papers(door: &Door) -> Result<(Option<String>, Option<String>), DoorError> {
    let book = door.book();
    let kept = |name: &str| book.kept(name).map(|value| value.filter(|value| !value.is_empty()));
    Ok((kept(ROOT)?, kept(LOG)?))
}

fn courier(door: &Door) -> std::sync::MutexGuard<'_, Courier> {
    door.courier.lock().unwrap_or_else(PoisonError::into_inner)
}

fn relay(fault: Fault) -> DoorError {
    DoorError::Told(Box::new(fault))
}

/// With what requests are made: the token, and the office's address where the pages do not come from it.
struct Line {
    token: String,
    address: Option<String>,
}

/// The line to the office that lets this device in.
fn line(door: &Door) -> Result<Line, DoorError> {
    let book = door.book();
    let kept = |name: &str| book.kept(name).map(|value| value.filter(|value| !value.is_empty()));
    let token = kept(TOKEN)?.ok_or_else(|| DoorError::NotJoined("no office lets this device in".to_owned()))?;
    Ok(Line { token, address: kept(ADDRESS)? })
}

/// The request with which this device asks to be let in.
pub(super) fn ask_to_join(door: &Door, code: &str, address: Option<&str>) -> Result<Reply, DoorError> {
    let address = address.map(read_address).transpose()?;
    door.book().keep(ADDRESS, address.as_deref().unwrap_or_default())?;
    let asked = json!({"code": code.trim(), "device": door.book().device()});
    let body = asked.to_string().into_bytes();
    let next = OfficeNext::Ask { address, method: "POST".to_owned(), path: "v1/enrol".to_owned(), headers: Vec::new() };
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
        let mut book = door.book();
        // Another office has another count: everything is told anew. What the person wants to be fetched stays so.
        reports::forget_told(&mut book)?;
        let State { fetches, .. } = OfficeBook::new(&mut book, door.source.as_ref()).state().map_err(relay)?;
        let fetches = if fetches == Fetches::All { fetches } else { Fetches::Asked([].into()) };
        let state = serde_json::to_string(&State { fetches, ..State::default() }).map_err(DoorError::Answer)?;
        for (name, value) in [
            (STATE, &*state),
            (TOLD_AT, ""),
            (ROLE, answer["role"].as_str().unwrap_or_default()),
            (ROOT, answer["root"].as_str().unwrap_or_default()),
            (LOG, answer["log"].as_str().unwrap_or_default()),
            (TOKEN, token),
        ] {
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
    for name in [FIRM, TOKEN, TOLD_AT, ROLE, ROOT, LOG, ADDRESS] {
        door.book().keep(name, "")?;
    }
    *courier(door) = Courier::new();
    describe(door)
}

/// What to ask next.
pub(super) fn next(door: &Door, begin: bool) -> Result<Reply, DoorError> {
    let line = line(door)?;
    let (mut book, mut courier) = (door.book(), courier(door));
    if begin {
        courier.begin_again();
    }
    let mut lent = OfficeBook::new(&mut book, door.source.as_ref());
    let next = courier.next(&mut lent).map_err(relay)?;
    let next = match next {
        Next::Ask(Errand { method, path, content_digest, body }) => {
            let method = match method {
                Method::Get => "GET",
                Method::Put => "PUT",
                Method::Post => "POST",
            };
            return request(line, (method, path), content_digest, body);
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

/// A request with the device's token.
fn request(
    Line { token, address }: Line,
    (method, path): (&str, String),
    content_digest: Option<String>,
    body: Vec<u8>,
) -> Result<Reply, DoorError> {
    let mut headers = vec![OfficeHeader { name: "Authorization", value: format!("Bearer {token}") }];
    headers.extend(content_digest.map(|value| OfficeHeader { name: "Content-Digest", value }));
    let ask = OfficeNext::Ask { address, method: method.to_owned(), path, headers };
    Ok(Reply { bytes: Some(body), ..super::json(&ask)? })
}

/// How many ms a header `Retry-After` asks for: seconds, or a date (RFC 9110 §10.2.3, §5.6.7). None for anything else.
fn retry_after_ms(text: &str, now: DateTime<Utc>) -> Option<u64> {
    let text = text.trim();
    if let Ok(seconds) = text.parse::<u64>() {
        return Some(seconds.saturating_mul(1_000));
    }
    let until = DateTime::parse_from_rfc2822(text).ok()?.to_utc();
    Some(u64::try_from((until - now).num_milliseconds()).unwrap_or(0))
}

/// Takes what came of it: a status with the header `Retry-After`, or nothing.
pub(super) fn heard(
    door: &Door,
    status: Option<(u16, Option<String>)>,
    answer: &[u8],
) -> Result<OfficeView, DoorError> {
    let mut draw = [0; 8];
    door.source.fill_random(&mut draw).map_err(DoorError::Randomness)?;
    {
        let (mut book, mut courier) = (door.book(), courier(door));
        let answered = status.map_or(Answered::Nothing, |(status, retry_after)| {
            let later = retry_after.and_then(|text| retry_after_ms(&text, door.source.now()));
            Answered::with(status, answer.to_vec(), later)
        });
        let mut lent = OfficeBook::new(&mut book, door.source.as_ref());
        courier.heard(&mut lent, answered, u64::from_be_bytes(draw)).map_err(relay)?;
    }
    describe(door)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn retry_after_is_seconds_or_a_date() {
        // The two forms of RFC 9110 §10.2.3, with its own examples.
        let now = "1999-12-31T23:57:59Z".parse().unwrap();
        assert_eq!(retry_after_ms("120", now), Some(120_000));
        assert_eq!(retry_after_ms("Fri, 31 Dec 1999 23:59:59 GMT", now), Some(120_000));
        assert_eq!(retry_after_ms("Fri, 31 Dec 1999 23:00:00 GMT", now), Some(0), "a date that has passed");
        assert_eq!(retry_after_ms("18446744073709551615", now), Some(u64::MAX));
        for text in ["", "soon", "-1", "1.5", "1999-12-31"] {
            assert_eq!(retry_after_ms(text, now), None, "{text}");
        }
    }
}
