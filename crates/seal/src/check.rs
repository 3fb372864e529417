//! The check of a sealed file: four questions, each answered for itself.

mod standing;
mod time;
mod timestamp;

pub(crate) use timestamp::check_imprint;

use crate::{
    chain::{Chain, ChainFault},
    file::SealedFile,
    sealing::identity,
    signature::{Form, SignedMessage},
    trust::Trust,
    verdict::{Check, Finding, Named, SealReport, Verified},
};
use chrono::{DateTime, NaiveDateTime, Utc};

/// Checks a file against what the reader brings along. Never panics; any bytes may be given.
pub fn check_file(bytes: &[u8], trust: &Trust) -> SealReport {
    match SealedFile::read(bytes) {
        Ok(file) => check_read_file(&file, trust),
        Err(fault) => refuse(Finding { code: fault.code.as_str(), reason: fault.to_string() }, None),
    }
}

/// Checks a file that was read already.
pub fn check_read_file(file: &SealedFile<'_>, trust: &Trust) -> SealReport {
    let claimed_time = read_claimed_time(file);
    let Some(signature) = file.signature() else {
        let reason = "the file is prepared for a signature and has none".to_owned();
        return refuse(Finding { code: "not-sealed", reason }, claimed_time);
    };
    let message = match SignedMessage::parse(signature, Form::Detached) {
        Ok(message) => message,
        Err(fault) => return refuse(Finding { code: fault.code(), reason: fault.to_string() }, claimed_time),
    };
    if let Err(fault) = message.check(file.covered_digest()) {
        return refuse(Finding { code: fault.code(), reason: fault.to_string() }, claimed_time);
    }
    let report = identity(file);
    let mut remarks = Vec::new();
    let chain = Chain::build(message.signer(), message.certificates());
    let logs = chain.as_ref().map_or_else(|_| Vec::new(), |chain| trust.list_logs(chain.root()));
    let since_when = time::check_time(&message, report, &logs, trust, &mut remarks);
    let proven = since_when.passed().map(|since| since.at);
    let (whose, still_stands, named) = match &chain {
        Ok(chain) => {
            let whose = trust.judge(chain, proven);
            let standing = standing::check_standing(report, chain, &whose, trust, &mut remarks);
            (whose, standing, name_signer(chain))
        }
        Err(fault) => refuse_chain(fault),
    };
    SealReport {
        unchanged: Check::Passed(Verified::new(report, message.signer().fingerprint())),
        whose,
        since_when,
        still_stands,
        named,
        claimed_time,
        remarks,
    }
}

/// Nothing further can be said of a file whose bytes are not the signed ones.
fn refuse(finding: Finding, claimed_time: Option<DateTime<Utc>>) -> SealReport {
    let reason = "the file is not what was signed, so nothing else was checked";
    SealReport {
        unchanged: Check::Failed(finding),
        whose: Check::not_checked("not-unchanged", reason),
        since_when: Check::not_checked("not-unchanged", reason),
        still_stands: Check::not_checked("not-unchanged", reason),
        named: None,
        claimed_time,
        remarks: Vec::new(),
    }
}

fn refuse_chain<A, B>(fault: &ChainFault) -> (Check<A>, Check<B>, Option<Named>) {
    let standing = Check::not_checked("signer-refused", "the signer's certificates are refused");
    (Check::failed(fault.code(), fault.to_string()), standing, None)
}

fn name_signer(chain: &Chain) -> Option<Named> {
    Some(Named {
        person: chain.person().subject().ok()?,
        signer: chain.person().fingerprint(),
        root: chain.root().subject().ok()?,
        root_fingerprint: chain.root().fingerprint(),
    })
}

/// `/M` as our writer spells it, with the offset of the place: `D:20260102040304+01'00` or `D:20260102030405Z`
/// (ISO 32000-2, 7.9.4).
fn read_claimed_time(file: &SealedFile<'_>) -> Option<DateTime<Utc>> {
    let text = file.signature_dictionary().find("M")?.as_text()?.decode();
    let text = std::str::from_utf8(&text).ok()?;
    if let Ok(time) = NaiveDateTime::parse_from_str(text, "D:%Y%m%d%H%M%SZ") {
        return Some(time.and_utc());
    }
    let (time, minutes) = text.split_once('\'')?;
    DateTime::parse_from_str(&format!("{time}{minutes}"), "D:%Y%m%d%H%M%S%z").ok().map(|time| time.to_utc())
}
