//! What a person asks the office for by hand: links, letters, devices.

use serde::de::DeserializeOwned;
use serde_json::{Value, json};
use sync::content_digest;

use super::{
    super::{Door, OfficeAnswer, OfficeErrand, Reply, draft, error::DoorError},
    certificate, line, request,
};

/// The request that an errand is.
pub(in super::super) fn ask(door: &Door, errand: &OfficeErrand) -> Result<Reply, DoorError> {
    let line = line(door)?;
    let (method, path, body) = match errand {
        OfficeErrand::MakeLink { shows, label, days } => {
            ("POST", "v1/links".to_owned(), Some(json!({ "shows": shows, "label": label, "days": days })))
        }
        OfficeErrand::Links {} => ("GET", "v1/links".to_owned(), None),
        OfficeErrand::CloseLink { number } => ("DELETE", format!("v1/links/{number}"), None),
        // Whoever has the link reads the letter as it was written, and is asked nothing that this device would not write.
        OfficeErrand::SendLetter { letter } => {
            let written = draft::letter(door, letter)?;
            let body = json!({ "request": letter, "text": written.text, "questions": written.questions });
            ("POST", "v1/letters".to_owned(), Some(body))
        }
        OfficeErrand::ReadLetter { number } => ("GET", format!("v1/letters/{number}"), None),
        OfficeErrand::Devices {} => ("GET", "v1/devices".to_owned(), None),
        OfficeErrand::MakeCode { label, role } => {
            ("POST", "v1/codes".to_owned(), Some(json!({ "label": label, "role": role })))
        }
        OfficeErrand::ShutOut { device } => ("DELETE", format!("v1/devices/{device}"), None),
        OfficeErrand::FetchCertificate {} => ("GET", "v1/certificate".to_owned(), None),
    };
    let body = body.map(|body| body.to_string().into_bytes()).unwrap_or_default();
    request(line, (method, path), Some(content_digest(&body)), body)
}

/// What the office answered to it.
pub(in super::super) fn answered(
    door: &Door,
    errand: &OfficeErrand,
    status: u16,
    bytes: &[u8],
) -> Result<OfficeAnswer, DoorError> {
    if !(200..300).contains(&status) {
        let fault: Value = serde_json::from_slice(bytes).unwrap_or_default();
        let words = fault["fault"]["message"].as_str().unwrap_or("what is at this address is no office");
        return Err(DoorError::OfficeRefused {
            words: words.to_owned(),
            hint: fault["fault"]["hint"].as_str().map(str::to_owned),
        });
    }
    Ok(match errand {
        OfficeErrand::MakeLink { .. } => OfficeAnswer::LinkMade { link: read(bytes)? },
        OfficeErrand::Links {} => OfficeAnswer::Links { links: read(bytes)? },
        OfficeErrand::CloseLink { .. } | OfficeErrand::ShutOut { .. } => OfficeAnswer::Done,
        OfficeErrand::SendLetter { .. } => OfficeAnswer::LetterKept { kept: read(bytes)? },
        OfficeErrand::ReadLetter { .. } => OfficeAnswer::Letter { letter: read(bytes)? },
        OfficeErrand::Devices {} => OfficeAnswer::Devices { devices: read(bytes)? },
        OfficeErrand::MakeCode { .. } => OfficeAnswer::Code { code: read(bytes)? },
        OfficeErrand::FetchCertificate {} => {
            let given: Value = read(bytes)?;
            let is_new = certificate::take_given(door, given["chain"].as_str(), given["revoked"].as_str())?;
            OfficeAnswer::Certificate { is_new }
        }
    })
}

fn read<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, DoorError> {
    serde_json::from_slice(bytes).map_err(|_| DoorError::OfficeRefused {
        words: "the office's answer cannot be read".to_owned(),
        hint: Some("ask again later; if it stays so, tell the office".to_owned()),
    })
}
