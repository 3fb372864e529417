//! A dealer's condition statement: content on disk, and perhaps an inspector's report, to a sealed statement on disk.

use std::path::Path;

use chrono::SubsecRound as _;
use model::{
    ConditionStatement, ConditionStatementSchema, Line, MAX_DOCUMENT_BYTES, ParseError, ReportFound, RestsOn, Sha256,
    StatementContent,
};
use seal::{certificate::Role, digest::Sha256Digest, file::SealedFile, key_file::Passphrase, sealing::seal_file};
use serde::Serialize;
use verify::{Headline, Trust, Verdict, check_fully};

use crate::{
    device::{Finished, Outgoing, Row},
    fault::Explained,
    firm::{FirmFolder, PersonId},
    sealing::{SealReportError, device_file, draw_salt, read_person, refuse_taken},
    showing::MOST_REPORT,
    verification::{TrustRequest, VerifyError, read_trust},
    whole_file::Existing,
    world::{World, WorldError},
};

/// What to state, as whom, resting on what, and where to.
#[derive(Debug)]
pub struct SealStatementRequest<'a> {
    /// The file with what is stated.
    pub content: &'a Path,
    /// The inspector's sealed report that it rests on.
    pub report: Option<&'a Path>,
    /// What the dealer brings along to check that report.
    pub trust: TrustRequest<'a>,
    /// Rest on a report that does not stand: page 1 says so.
    pub although_unsound: bool,
    /// The firm's folder.
    pub firm: &'a Path,
    /// Who signs: somebody certified as dealer.
    pub person: &'a PersonId,
    /// Opens the person's key.
    pub passphrase: &'a Passphrase,
    /// The file with the device's row; beside the person's certificate if not given.
    pub device: Option<&'a Path>,
    /// Where the statement goes.
    pub out: &'a Path,
    /// What to do with a file that is there.
    pub existing: Existing,
}

/// A statement that was sealed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct SealedStatement {
    /// Where it lies.
    pub file: String,
    /// The statement's identity: SHA-256 of the SHA-512 of the signed bytes.
    pub identity: String,
    /// SHA-256 over its record.
    pub record: String,
    /// The record's digest as the pages print it.
    pub record_short: String,
    /// Who signed.
    pub signed_by: String,
    /// The root's fingerprint, which readers compare.
    pub root_fingerprint: String,
    /// How the report that it rests on was found; absent where it rests on none.
    pub report_found: Option<ReportFound>,
    /// Pages.
    pub pages: usize,
    /// What became of a file that an earlier run had begun to put in its place.
    pub finished: Option<Finished>,
}

/// Why no statement was sealed.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum SealStatementError {
    /// As for a report: the firm, the key, the device's row, the pages, the signature.
    #[error(transparent)]
    Seal(#[from] SealReportError),
    /// What is in the file is no statement.
    #[error("{file} is not a statement that can be used: {cause}")]
    Content {
        /// Its file.
        file: String,
        /// The fields that are wrong.
        #[source]
        cause: ParseError,
    },
    /// The roots and lists to check the report with.
    #[error(transparent)]
    Trust(#[from] VerifyError),
    /// The report does not stand.
    #[error("{file} is no ground for a statement: {title}. {because}")]
    Unsound {
        /// Its file.
        file: String,
        /// The headline.
        title: String,
        /// What decided it.
        because: String,
    },
    /// What was given as a report is none that a statement can name.
    #[error("{file} cannot be rested on: {reason}")]
    NoReport {
        /// Its file.
        file: String,
        /// Why.
        reason: String,
    },
}

impl From<WorldError> for SealStatementError {
    fn from(error: WorldError) -> Self {
        Self::Seal(error.into())
    }
}

impl Explained for SealStatementError {
    fn code(&self) -> &'static str {
        match self {
            Self::Seal(error) => error.code(),
            Self::Content { .. } => "statement-refused",
            Self::Trust(error) => error.code(),
            Self::Unsound { .. } => "report-unsound",
            Self::NoReport { .. } => "report-refused",
        }
    }

    fn hint(&self) -> Option<String> {
        match self {
            Self::Seal(error) => error.hint(),
            Self::Content { .. } => Some("correct it; the JSON Schema of a statement says what is expected".to_owned()),
            Self::Trust(error) => error.hint(),
            Self::Unsound { .. } => Some(
                "bring the root of the report's firm (--root) and its lists; or state it all the same with \
                 --although-unsound, and page 1 says how the report was found"
                    .to_owned(),
            ),
            Self::NoReport { .. } => Some("give the inspector's report as it was sealed".to_owned()),
        }
    }
}

/// Seals a condition statement. The report that it rests on is checked first, and travels inside unaltered.
///
/// # Errors
/// [`SealStatementError`]. Everything that can be refused is refused before anything is written.
pub fn seal_statement(
    world: &dyn World,
    request: &SealStatementRequest<'_>,
) -> Result<SealedStatement, SealStatementError> {
    let bytes =
        world.read(request.content, MAX_DOCUMENT_BYTES as u64 + 1).map_err(WorldError::at("read", request.content))?;
    let content = model::parse_statement_content(&bytes, request.report.is_some())
        .map_err(|cause| SealStatementError::Content { file: request.content.display().to_string(), cause })?;
    refuse_taken(world, request.out, request.existing)?;
    let report = match request.report {
        Some(file) => Some(world.read(file, MOST_REPORT).map_err(WorldError::at("read", file))?),
        None => None,
    };
    let rests_on = match (&report, request.report) {
        (Some(bytes), Some(file)) => {
            let trust = read_trust(world, &request.trust)?;
            Some(judge_report(world, bytes, file, &trust, request.although_unsound)?)
        }
        _ => None,
    };
    let firm = FirmFolder::open(world, request.firm).map_err(SealReportError::from)?;
    let signer = firm.open_signer(world, request.person, request.passphrase).map_err(SealReportError::from)?;
    let person = read_person(&signer, Role::Dealer)?;
    if content.firm.as_str() != person.organization {
        let (got, expected) = (content.firm.to_string(), person.organization);
        return Err(SealReportError::Author { field: "firm", got, expected }.into());
    }
    let place = device_file(&firm, request.person, request.device);
    let (mut row, finished) = Row::open(world, &place).map_err(SealReportError::from)?;

    let author = Line::try_from(person.name.as_str()).map_err(SealReportError::AuthorText)?;
    let report_found = rests_on.as_ref().map(|report| report.found);
    let statement = freeze(world, content, author, row.next(), rests_on)?;
    let record = statement.canonical_bytes().map_err(SealReportError::Canonical)?;
    // The reader's own door: what it would refuse is not sealed.
    model::parse_canonical_statement(&record).map_err(SealReportError::Record)?;
    let prepared = report::render_statement(&statement, &record, report.as_deref()).map_err(SealReportError::from)?;
    drop(report);
    let sealed = seal_file(prepared.bytes, &signer).map_err(SealReportError::from)?;
    let read = SealedFile::read(&sealed).map_err(seal::sealing::SealError::from).map_err(SealReportError::from)?;
    let (identity, pages) = (Sha256Digest::from_bytes(read.identity()), read.page_count());
    let digest = Sha256::of(&record);
    row.publish(&Outgoing { record: digest, bytes: &sealed, place: request.out, existing: request.existing })
        .map_err(SealReportError::from)?;
    Ok(SealedStatement {
        file: request.out.display().to_string(),
        identity: identity.to_string(),
        record: digest.to_string(),
        record_short: digest.short(),
        signed_by: format!("{}, {} ({})", person.name, statement.content.firm, Role::Dealer),
        root_fingerprint: signer.chain().root().fingerprint().to_string(),
        report_found,
        pages,
        finished,
    })
}

fn freeze(
    world: &dyn World,
    content: StatementContent,
    author: Line,
    device: model::Device,
    rests_on: Option<RestsOn>,
) -> Result<ConditionStatement, WorldError> {
    Ok(ConditionStatement {
        schema: ConditionStatementSchema::V1,
        renderer: report::RENDERER,
        salt: draw_salt(world)?,
        device,
        frozen_at: world.now().trunc_subsecs(0).fixed_offset(),
        author,
        content,
        rests_on,
    })
}

/// Checks the report and says how it was found; refuses one that does not stand, unless that is to be said on page 1.
fn judge_report(
    world: &dyn World,
    bytes: &[u8],
    file: &Path,
    trust: &Trust,
    although_unsound: bool,
) -> Result<RestsOn, SealStatementError> {
    let verdict = check_fully(bytes, trust);
    let no_report =
        |reason: &str| SealStatementError::NoReport { file: file.display().to_string(), reason: reason.to_owned() };
    let found = found_as(&verdict);
    if !matches!(found, ReportFound::Genuine | ReportFound::StandingNotChecked) && !although_unsound {
        return Err(SealStatementError::Unsound {
            file: file.display().to_string(),
            title: verdict.title,
            because: verdict.because,
        });
    }
    if verdict.states.is_some() {
        return Err(no_report("it is itself a condition statement"));
    }
    // Without a signature that fits there is nothing to name.
    let named = verdict.report.as_ref().ok_or_else(|| no_report(&verdict.because))?;
    let digest = |hex: &str| hex.parse::<Sha256>().map_err(|_| no_report("its record has no digest"));
    let signed_by = verdict
        .signed_by
        .as_ref()
        .map_or_else(|| "nobody who is known".to_owned(), |signed| format!("{}, {}", signed.name, signed.organization));
    Ok(RestsOn {
        identity: digest(&named.identity)?,
        record: digest(&named.record)?,
        signed_by: Line::try_from(signed_by.as_str()).map_err(SealReportError::AuthorText)?,
        found,
        checked_at: world.now().trunc_subsecs(0).fixed_offset(),
    })
}

const fn found_as(verdict: &Verdict) -> ReportFound {
    match verdict.headline {
        Headline::Genuine => ReportFound::Genuine,
        Headline::GenuineStandingNotChecked => ReportFound::StandingNotChecked,
        Headline::GenuineButWithdrawn => ReportFound::Withdrawn,
        Headline::GenuineButSuperseded => ReportFound::Superseded,
        Headline::CannotBeFullyConfirmed => ReportFound::NotConfirmed,
        Headline::DoNotRely => ReportFound::Refused,
    }
}
