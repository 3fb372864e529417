//! Sealing and checking from the notebook.

use notebook::{FileAccess as _, Notebook, Report};
use seal::{
    key_file::Passphrase,
    statement::{SignedStatement, StatementKind},
};
use serde::{Deserialize, Serialize};

use super::{
    Door, ReportList, ReportView, WithdrawnView, draft,
    error::DoorError,
    keys,
    office::{
        papers,
        reports::{STATED, WAITING},
    },
    room::at,
};
use crate::{Existing, SealRequest, Verdict, progress::Progress, sealing::seal_report, verification::VerifyError};

/// What the notebook keeps of a sealed report beside its bytes.
#[derive(Debug, Serialize, Deserialize)]
pub(super) struct Facts {
    pub file_name: String,
    pub record: String,
    pub record_short: String,
    pub signed_by: String,
    pub root_fingerprint: String,
    pub bytes: u64,
    pub pages: u32,
}

pub(super) fn seal(
    door: &Door,
    inspection: &str,
    passphrase: String,
    progress: Progress<'_>,
) -> Result<ReportView, DoorError> {
    let person = keys::person(door)?.ok_or(DoorError::NoKeys)?;
    let id = draft::name(inspection)?;
    let draft = door.book().draft(&id)?;
    let folded = draft.fold();
    let conflicts = draft.conflicts.iter().map(|conflict| format!("{} has several values", conflict.path));
    let open: Vec<String> = conflicts.chain(folded.gaps.into_iter().map(|gap| gap.words)).collect();
    if !open.is_empty() {
        return Err(DoorError::Unfinished(open));
    }
    let count = door.book().reports()?.iter().filter(|report| report.inspection.as_deref() == Some(inspection)).count();
    let file_name = format!("{inspection}-{}.pdf", count + 1);
    let path = format!("reports/{file_name}");
    let out = at(&path);
    let sealed = seal_report(
        &door.room(),
        &SealRequest {
            inspection: &at(&format!("inspections/{inspection}.json")),
            photographs: &at(&format!("photographs/{inspection}")),
            firm: &at("firm"),
            person: &person,
            passphrase: &Passphrase::from(passphrase),
            device: None,
            out: &out,
            existing: Existing::Replace,
            supersedes: None,
            verify_at: None,
        },
        progress,
    )?;
    let facts = Facts {
        file_name,
        record: sealed.record,
        record_short: sealed.record_short,
        signed_by: sealed.signed_by,
        root_fingerprint: sealed.root_fingerprint,
        bytes: sealed.bytes as u64,
        pages: sealed.pages as u32,
    };
    note(door, sealed.identity, Some(inspection), &facts, path)
}

/// Notes what was sealed, in the row of reports.
pub(super) fn note(
    door: &Door,
    identity: String,
    inspection: Option<&str>,
    facts: &Facts,
    path: String,
) -> Result<ReportView, DoorError> {
    let report = Report {
        identity,
        inspection: inspection.map(str::to_owned),
        facts: serde_json::to_string(facts).map_err(DoorError::Answer)?,
        sealed_at: door.now().to_rfc3339(),
        path,
    };
    let book = door.book();
    book.note_report(&report)?;
    view(&book, report)
}

pub(super) fn list(book: &Notebook) -> Result<ReportList, DoorError> {
    Ok(ReportList { reports: book.reports()?.into_iter().map(|report| view(book, report)).collect::<Result<_, _>>()? })
}

/// One report.
pub(super) fn find(book: &Notebook, identity: &str) -> Result<ReportView, DoorError> {
    let report = book.reports()?.into_iter().find(|report| report.identity == identity);
    view(book, report.ok_or_else(|| DoorError::Unfit(format!("there is no report {identity} here")))?)
}

/// What was said here of a report that does not stand any more.
fn withdrawn(book: &Notebook, identity: &str) -> Result<Option<WithdrawnView>, DoorError> {
    for (place, is_told) in [(WAITING, false), (STATED, true)] {
        let Some(pem) = book.file(&format!("{place}{identity}"))? else { continue };
        let Ok(signed) = SignedStatement::parse_pem(&String::from_utf8_lossy(&pem)) else { continue };
        let superseded_by = match signed.statement().kind {
            StatementKind::Withdrawn => None,
            StatementKind::Superseded { by } => Some(by.to_string()),
        };
        return Ok(Some(WithdrawnView { reason: signed.statement().reason.clone(), superseded_by, is_told }));
    }
    Ok(None)
}

fn view(book: &Notebook, report: Report) -> Result<ReportView, DoorError> {
    let facts: Facts = serde_json::from_str(&report.facts).map_err(DoorError::Answer)?;
    let standing = book.report_standing(&report.identity)?;
    Ok(ReportView {
        is_receipted: standing.is_some_and(|standing| standing.is_receipted),
        is_told: standing.is_some_and(|standing| standing.is_told),
        withdrawn: withdrawn(book, &report.identity)?,
        identity: report.identity,
        inspection: report.inspection,
        file_name: facts.file_name,
        record: facts.record,
        record_short: facts.record_short,
        signed_by: facts.signed_by,
        root_fingerprint: facts.root_fingerprint,
        sealed_at: report.sealed_at,
        bytes: facts.bytes,
        pages: facts.pages,
    })
}

pub(super) fn verify(door: &Door, file: &[u8], roots: Vec<String>) -> Result<Verdict, DoorError> {
    let mut texts = verify::TrustTexts::at(door.source.now());
    let (office, log) = papers(door)?;
    let own = keys::view(door)?.keys.map(|keys| keys.root_pem);
    for root in own.into_iter().chain(keys::roots_before(door)?).chain(office.clone()).chain(roots) {
        if !texts.roots.contains(&root) {
            texts.roots.push(root);
        }
    }
    // A log's key counts for one firm's reports: that of the office.
    if texts.roots.len() == 1 && office.as_ref() == texts.roots.first() {
        texts.logs = log.into_iter().collect();
    }
    let trust = texts.parse().map_err(|cause| VerifyError::Trust { file: "a root".to_owned(), cause })?;
    Ok(verify::check_fully(file, &trust))
}

/// The record inside a report of this notebook.
pub(super) fn record_of(report: &Report) -> Option<model::Sha256> {
    serde_json::from_str::<Facts>(&report.facts).ok()?.record.parse().ok()
}
