//! A dealer's condition statement from the notebook.

use std::path::PathBuf;

use chrono::SubsecRound as _;
use seal::key_file::Passphrase;
use serde_json::Value;

use super::{
    Door, ReportView,
    draft::put,
    error::DoorError,
    keys,
    room::{Room, at},
    seal::{Facts, note},
};
use crate::{
    Access, Existing, SealStatementRequest, TrustRequest, World as _, seal_statement, whole_file::write_whole,
    world::WorldError,
};

/// What a statement rests on beside the dealer's own findings.
pub(super) struct Ground<'a> {
    /// An inspector's sealed report; empty where there is none.
    pub report: &'a [u8],
    /// Certificates in PEM to check it with.
    pub roots: Vec<String>,
    /// Rest on a report that does not stand.
    pub although_unsound: bool,
}

pub(super) fn state(
    door: &Door,
    content: &Value,
    ground: &Ground<'_>,
    passphrase: String,
) -> Result<ReportView, DoorError> {
    let passphrase = Passphrase::from(passphrase);
    let person = keys::dealer(door, &passphrase)?;
    let room = door.room();
    let (written, report) = (at("statements/content.json"), at("statements/rests-on.pdf"));
    put(&room, &written, content)?;
    if !ground.report.is_empty() {
        write_whole(&room, &report, ground.report, Access::Private, Existing::Replace)?;
    }
    let roots = put_roots(door, &room, ground)?;
    let count = door.book().reports()?.iter().filter(|report| report.inspection.is_none()).count();
    let file_name = format!("statement-{}-{}.pdf", door.source.now().trunc_subsecs(0).format("%Y-%m-%d"), count + 1);
    let path = format!("reports/{file_name}");
    let sealed = seal_statement(
        &room,
        &SealStatementRequest {
            content: &written,
            report: (!ground.report.is_empty()).then_some(report.as_path()),
            trust: TrustRequest { roots: &roots, ..TrustRequest::default() },
            although_unsound: ground.although_unsound,
            firm: &at("firm"),
            person: &person,
            passphrase: &passphrase,
            device: None,
            out: &at(&path),
            existing: Existing::Replace,
        },
    )?;
    let bytes = room.read(&at(&path), u64::MAX).map_err(WorldError::at("read", &at(&path)))?.len() as u64;
    let facts = Facts {
        file_name,
        record: sealed.record,
        record_short: sealed.record_short,
        signed_by: sealed.signed_by,
        root_fingerprint: sealed.root_fingerprint,
        bytes,
        pages: sealed.pages as u32,
    };
    note(door, sealed.identity, None, &facts, path)
}

/// The roots as files: the notebook's own, and those that the dealer brought.
fn put_roots(door: &Door, room: &Room<'_>, ground: &Ground<'_>) -> Result<Vec<PathBuf>, DoorError> {
    let own = keys::view(door)?.keys.map(|keys| keys.root_pem);
    let mut files = Vec::new();
    for (number, pem) in own.iter().chain(&ground.roots).enumerate() {
        let file = at(&format!("statements/root-{number}.pem"));
        write_whole(room, &file, pem.as_bytes(), Access::Private, Existing::Replace)?;
        files.push(file);
    }
    Ok(files)
}
