//! An inspection on disk to a sealed report on disk.

mod error;

pub use error::SealReportError;

use std::{
    ops::ControlFlow,
    path::{Path, PathBuf},
};

use chrono::SubsecRound as _;
use model::{Device, Inspection, Line, Record, RecordSchema, Salt, Sha256};
use seal::{
    certificate::{Role, Subject},
    digest::Sha256Digest,
    file::SealedFile,
    key_file::Passphrase,
    sealing::seal_file,
    signature::Signer,
};
use serde::Serialize;

use crate::{
    device::{Finished, Outgoing, Row},
    firm::{FirmError, FirmFolder, PersonId},
    photographs::{Copies, PhotographsError, copy_photographs},
    progress::{Progress, Step},
    reckoning::read_inspection,
    whole_file::Existing,
    world::{World, WorldError},
};

/// What to seal, as whom, and where to.
#[derive(Debug)]
pub struct SealRequest<'a> {
    /// The inspection's file.
    pub inspection: &'a Path,
    /// The folder with the original photographs.
    pub photographs: &'a Path,
    /// The firm's folder.
    pub firm: &'a Path,
    /// Who signs.
    pub person: &'a PersonId,
    /// Opens the person's key.
    pub passphrase: &'a Passphrase,
    /// The file with the device's row; beside the person's certificate if not given.
    pub device: Option<&'a Path>,
    /// Where the report goes.
    pub out: &'a Path,
    /// What to do with a file that is there.
    pub existing: Existing,
    /// The record that this one replaces.
    pub supersedes: Option<Sha256>,
    /// Where a reader can have the file checked, as the report prints it.
    pub verify_at: Option<Line>,
}

/// A report that was sealed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct SealedReport {
    /// Where it lies.
    pub file: String,
    /// The report's identity: SHA-256 of the SHA-512 of the signed bytes.
    pub identity: String,
    /// SHA-256 over the record.
    pub record: String,
    /// The record's digest as the pages print it.
    pub record_short: String,
    /// The device that froze the record.
    pub device: String,
    /// The record's number on it.
    pub sequence: u64,
    /// Who signed.
    pub signed_by: String,
    /// The root's fingerprint, which readers compare.
    pub root_fingerprint: String,
    /// Pages.
    pub pages: usize,
    /// Photographs.
    pub photographs: usize,
    /// Bytes of the file.
    pub bytes: usize,
    /// What became of a report that an earlier run had begun to put in its place.
    pub finished: Option<Finished>,
}

/// Seals an inspection: copies its photographs, reckons, freezes the record, draws the pages, signs, and puts the
/// report in its place.
///
/// The inspection and its photographs are only read. The report is there whole or not at all; what happens to the
/// device's row is told in the module `device`.
///
/// # Errors
/// [`SealReportError`]. Everything that can be refused is refused before anything is written.
pub fn seal_report(
    world: &dyn World,
    request: &SealRequest<'_>,
    progress: Progress<'_>,
) -> Result<SealedReport, SealReportError> {
    let inspection = read_inspection(world, request.inspection)?;
    refuse_taken(world, request.out, request.existing)?;
    let firm = FirmFolder::open(world, request.firm)?;
    let signer = firm.open_signer(world, request.person, request.passphrase)?;
    let person = check_author(&signer, &inspection)?;
    let (mut row, finished) = Row::open(world, &device_file(&firm, request.person, request.device))?;

    let copies = copy_photographs(world, request.photographs, &inspection.photographs, progress)?;
    let record = freeze(world, inspection, &copies, row.next(), &person, request)?;
    let bytes = model::canonical_json(&record).map_err(SealReportError::Canonical)?;
    // The reader's own door: what it would refuse is not sealed.
    model::parse_record(&bytes).map_err(SealReportError::Record)?;
    let digest = Sha256::of(&bytes);

    tell(progress, Step::Pages)?;
    let prepared = report::render(&record, &bytes, &copies.bytes)?;
    // The copies stand in the pages now.
    let photographs = copies.list.len();
    drop(copies);
    tell(progress, Step::Signature)?;
    let sealed = seal_file(prepared.bytes, &signer)?;
    let read = SealedFile::read(&sealed).map_err(seal::sealing::SealError::from)?;
    let (identity, pages) = (Sha256Digest::from_bytes(read.identity()), read.page_count());

    tell(progress, Step::File)?;
    row.publish(&Outgoing { record: digest, bytes: &sealed, place: request.out, existing: request.existing })?;
    Ok(SealedReport {
        file: request.out.display().to_string(),
        identity: identity.to_string(),
        record: digest.to_string(),
        record_short: digest.short(),
        device: record.device.id.to_string(),
        sequence: record.device.sequence,
        signed_by: person.to_string(),
        root_fingerprint: signer.chain().root().fingerprint().to_string(),
        pages,
        photographs,
        bytes: sealed.len(),
        finished,
    })
}

/// Said at once, not after minutes of work.
pub(crate) fn refuse_taken(world: &dyn World, out: &Path, existing: Existing) -> Result<(), WorldError> {
    let is_there = world.exists(out).map_err(WorldError::at("written", out))?;
    if is_there && existing == Existing::Refuse {
        let taken = std::io::ErrorKind::AlreadyExists.into();
        return Err(WorldError::at("written", out)(taken));
    }
    Ok(())
}

/// The file with the device's row: the one that was given, else the one beside the person's certificate.
pub(crate) fn device_file(firm: &FirmFolder, person: &PersonId, device: Option<&Path>) -> PathBuf {
    device.map_or_else(|| firm.person_file(person, "device.json"), Path::to_owned)
}

/// A report names its author twice, on its pages and in its signature; a reader refuses two names.
fn check_author(signer: &Signer, inspection: &Inspection) -> Result<Subject, SealReportError> {
    let person = read_person(signer, Role::Inspector)?;
    let inspector = &inspection.inspector;
    for (field, got, expected) in [
        ("inspector.name", inspector.name.as_str(), &person.name),
        ("inspector.firm", inspector.firm.as_str(), &person.organization),
    ] {
        if got != expected {
            let (got, expected) = (got.to_owned(), expected.clone());
            return Err(SealReportError::Author { field, got, expected });
        }
    }
    Ok(person)
}

/// Whom the signer's certificate names; refused where it is for another part.
pub(crate) fn read_person(signer: &Signer, expected: Role) -> Result<Subject, SealReportError> {
    let person =
        signer.chain().person().subject().map_err(seal::certificate::IssueError::from).map_err(FirmError::from)?;
    if person.role != Some(expected) {
        let role = person.role.map_or_else(String::new, |role| role.name().to_owned());
        return Err(SealReportError::Role { person: person.name, role, expected });
    }
    Ok(person)
}

/// A fresh salt.
pub(crate) fn draw_salt(world: &dyn World) -> Result<Salt, WorldError> {
    let mut salt = [0; 16];
    world.fill_random(&mut salt).map_err(WorldError::at("drawn", Path::new("the record's salt")))?;
    Ok(Salt::new(salt))
}

fn freeze(
    world: &dyn World,
    inspection: Inspection,
    copies: &Copies,
    device: Device,
    person: &Subject,
    request: &SealRequest<'_>,
) -> Result<Record, SealReportError> {
    let salt = draw_salt(world)?;
    // The clock's moment, told in the offset of the place that was visited.
    let frozen_at = world.now().trunc_subsecs(0).with_timezone(inspection.visited_at.offset());
    Ok(Record {
        schema: RecordSchema::V1,
        renderer: report::RENDERER,
        salt,
        device,
        frozen_at,
        author: Line::try_from(person.name.as_str()).map_err(SealReportError::AuthorText)?,
        verify_at: request.verify_at.clone(),
        supersedes: request.supersedes,
        report_photographs: copies.list.clone(),
        reckoning: condition::reckon(&inspection),
        inspection,
    })
}

fn tell(progress: Progress<'_>, step: Step) -> Result<(), PhotographsError> {
    match progress(step) {
        ControlFlow::Continue(()) => Ok(()),
        ControlFlow::Break(()) => Err(PhotographsError::Stopped),
    }
}
