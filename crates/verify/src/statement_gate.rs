//! The gate of a condition statement: its record must give the file again, and the report that it rests on is checked as a
//! report of its own.

use model::{ConditionStatement, ReportFound, RestsOn};
use report::RenderError;
use seal::{file::SealedFile, trust::Trust, verdict::Finding};

use crate::{
    check::check_at,
    gate::{Refusal, compare_with, explain_parse, failed, not_known},
    gate_codes as codes,
    headline::Headline,
    verdict::Verdict,
};

/// What came of the gate.
#[derive(Debug)]
pub(crate) struct StatementGate {
    /// Whether the record gives this very file and the report is the one that it names, as it says.
    pub result: Result<(), Refusal>,
    /// The report that it rests on was taken back since, and page 1 does not say so.
    pub ground_lost: Option<Finding>,
    /// The statement, as far as it could be read.
    pub statement: Option<Box<ConditionStatement>>,
    /// The verdict on the report that it rests on.
    pub rests_on: Option<Box<Verdict>>,
}

/// Checks the statement with these record bytes. A report inside may not itself be a statement.
pub(crate) fn check_statement(file: &SealedFile<'_>, record: &[u8], trust: &Trust) -> StatementGate {
    let mut gate = StatementGate { result: Ok(()), ground_lost: None, statement: None, rests_on: None };
    let statement = match model::parse_canonical_statement(record) {
        Ok(statement) => statement,
        Err(error) => {
            gate.result = Err(explain_parse(record, &error, ConditionStatement::SCHEMA));
            return gate;
        }
    };
    gate.result = check_pages(file, &statement, record);
    if let Some(bytes) = file.report() {
        let verdict = check_at(bytes, trust, IS_INSIDE);
        if gate.result.is_ok()
            && let Some(named) = &statement.rests_on
        {
            (gate.result, gate.ground_lost) = check_ground(named, &verdict);
        }
        gate.rests_on = Some(Box::new(verdict));
    }
    gate.statement = Some(Box::new(statement));
    gate
}

/// What travels inside a statement is a report, and no other statement.
pub(crate) const IS_INSIDE: bool = true;

fn check_pages(file: &SealedFile<'_>, statement: &ConditionStatement, record: &[u8]) -> Result<(), Refusal> {
    match report::render_statement(statement, record, file.report()) {
        Ok(again) => compare_with(file, &again.bytes),
        Err(error @ RenderError::RendererUnknown { .. }) => Err(not_known("renderer-unknown", error.to_string())),
        Err(error) => Err(failed(codes::NOT_RENDERABLE, format!("the statement inside cannot be drawn: {error}"))),
    }
}

/// Holds the report against what the statement says of it. It must be the one that is named; and it may not stand worse
/// than page 1 says.
fn check_ground(named: &RestsOn, verdict: &Verdict) -> (Result<(), Refusal>, Option<Finding>) {
    let is_named = verdict.report.as_ref().is_some_and(|report| {
        report.identity == named.identity.to_string() && report.record == named.record.to_string()
    });
    let says = |finding: &[ReportFound]| finding.contains(&named.found);
    let refused = |code, reason: String| (Err(failed(code, reason)), None);
    match verdict.headline {
        Headline::DoNotRely if !says(&[ReportFound::Refused]) => refused(
            codes::REPORT_FAILS,
            format!("the report that it rests on is not to be relied on: {}", verdict.because),
        ),
        _ if !is_named && !says(&[ReportFound::Refused]) => {
            refused(codes::REPORT_DIFFERS, "the report inside is not the one that the statement names".to_owned())
        }
        Headline::CannotBeFullyConfirmed if !says(&[ReportFound::NotConfirmed, ReportFound::Refused]) => {
            let reason = format!("the report that it rests on cannot be fully confirmed: {}", verdict.because);
            (Err(not_known("report-not-confirmed", reason)), None)
        }
        Headline::GenuineButWithdrawn if !says(&[ReportFound::Withdrawn, ReportFound::Refused]) => {
            let reason = format!("the report that it rests on was withdrawn: {}", verdict.because);
            (Ok(()), Some(Finding { code: "withdrawn", reason }))
        }
        Headline::GenuineButSuperseded
            if !says(&[ReportFound::Superseded, ReportFound::Withdrawn, ReportFound::Refused]) =>
        {
            let reason = format!("the report that it rests on was superseded: {}", verdict.because);
            (Ok(()), Some(Finding { code: "superseded", reason }))
        }
        _ => (Ok(()), None),
    }
}
