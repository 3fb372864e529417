//! Sealed reports on their way between this device and its office.

use chrono::{DateTime, SubsecRound as _, Utc};
use notebook::{FileAccess as _, Notebook, Report};
use seal::{
    file::SealedFile,
    key_file::Passphrase,
    receipt::Receipt,
    sealing::{add_receipt, has_receipt, lone_signature},
};
use sync::Issued;
use verify::{Answer, TrustTexts, check_signature};

use super::{
    super::{Door, ReportView, error::DoorError, keys, room::at, seal as sealed},
    ROOT,
};
use crate::{Existing, StatementRequest, state_withdrawal};

/// Statements that the office does not have yet, each under the identity of its report.
pub(in super::super) const WAITING: &str = "withdrawals/waiting/";
/// Those that it has.
pub(in super::super) const STATED: &str = "withdrawals/told/";

/// Nothing of this device is at the office any more, as far as is known: what is there all the same is found there.
pub(super) fn forget_told(book: &mut Notebook) -> Result<(), DoorError> {
    book.forget_told()?;
    for path in book.files_below(STATED)? {
        let waiting = format!("{WAITING}{}", &path[STATED.len()..]);
        // A newer one of the same report that waits already says what stands.
        if book.file(&waiting)?.is_none() {
            book.move_files(&path, &waiting, false)?;
        }
    }
    Ok(())
}

/// What a log has to know of a report; none for a file that is none.
pub(super) fn issued(bytes: &[u8]) -> Option<Issued> {
    Some(Issued::carry(&lone_signature(bytes).ok()?))
}

/// The report with its receipt in it; none for a receipt of something else.
pub(super) fn with_receipt(bytes: &[u8], receipt: &str) -> Option<Vec<u8>> {
    add_receipt(bytes, &Receipt::parse(receipt).ok()?).ok()
}

/// Takes in a report that a colleague sealed. What is no sound report of the office's firm is left.
pub(super) fn take_in(book: &mut Notebook, now: DateTime<Utc>, bytes: &[u8]) -> Result<(), DoorError> {
    let Some(root) = book.kept(ROOT)?.filter(|root| !root.is_empty()) else { return Ok(()) };
    let Ok(trust) = (TrustTexts { roots: vec![root], ..TrustTexts::at(now) }).parse() else { return Ok(()) };
    let verdict = check_signature(bytes, &trust);
    let is_ours = verdict.root.as_ref().is_some_and(|root| root.given_by_reader);
    let (Some(report), Some(by), Some(root)) = (&verdict.report, &verdict.signed_by, &verdict.root) else {
        return Ok(());
    };
    if !is_ours || matches!(verdict.questions.unchanged, Answer::Failed { .. }) {
        return Ok(());
    }
    let Ok(file) = SealedFile::read(bytes) else { return Ok(()) };
    let record = file.record().ok().and_then(|record| serde_json::from_slice::<serde_json::Value>(&record.bytes).ok());
    let inspection = record.as_ref().and_then(|record| record["inspection"]["id"].as_str());
    if let Some(id) = inspection.and_then(|id| id.parse().ok())
        && book.is_erased(&id)?
    {
        return Ok(());
    }
    let facts = sealed::Facts {
        file_name: format!("{}-{}.pdf", inspection.unwrap_or("statement"), &report.record[..8]),
        record: report.record.clone(),
        record_short: report.record_short.clone(),
        signed_by: format!("{}, {}", by.name, by.organization),
        root_fingerprint: root.fingerprint.clone(),
        bytes: bytes.len() as u64,
        pages: file.page_count() as u32,
    };
    let sealed_at = report.claimed_time.unwrap_or(now).trunc_subsecs(0);
    // The file before the line that speaks of it.
    let path = format!("reports/{}.pdf", report.identity);
    book.write_file(&path, bytes)?;
    book.note_report(&Report {
        identity: report.identity.clone(),
        inspection: inspection.map(str::to_owned),
        facts: serde_json::to_string(&facts).map_err(DoorError::Answer)?,
        sealed_at: sealed_at.to_rfc3339(),
        path,
    })?;
    if has_receipt(bytes) {
        book.keep_receipted(&report.identity, bytes)?;
    }
    book.keep_told(&report.identity)?;
    Ok(())
}

/// Signs that a report does not stand any more, or that another one stands in its place. The office is told when there is a
/// signal.
pub(in super::super) fn withdraw(
    door: &Door,
    (identity, superseded_by): (&str, Option<&str>),
    reason: &str,
    passphrase: String,
) -> Result<ReportView, DoorError> {
    let person = keys::person(door)?.ok_or(DoorError::NoKeys)?;
    let path = |identity: &str| -> Result<_, DoorError> {
        let missing = || DoorError::Unfit(format!("there is no report {identity} here"));
        let reports = door.book().reports()?;
        let report = reports.into_iter().find(|report| report.identity == identity);
        Ok(at(&report.ok_or_else(missing)?.path))
    };
    let other = superseded_by.map(path).transpose()?;
    state_withdrawal(
        &door.room(),
        &StatementRequest {
            report: &path(identity)?,
            superseded_by: other.as_deref(),
            reason,
            firm: &at("firm"),
            person: &person,
            passphrase: &Passphrase::from(passphrase),
            out: &at(&format!("{WAITING}{identity}")),
            existing: Existing::Refuse,
        },
    )?;
    sealed::find(&door.book(), identity)
}
