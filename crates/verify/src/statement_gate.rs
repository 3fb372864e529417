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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::verdict::Identified;

    /// What page 1 says of the report, the best first; each allows what is said before it, and nothing behind.
    const FOUND: [ReportFound; 6] = [
        ReportFound::Genuine,
        ReportFound::StandingNotChecked,
        ReportFound::Superseded,
        ReportFound::Withdrawn,
        ReportFound::NotConfirmed,
        ReportFound::Refused,
    ];

    fn named(found: ReportFound) -> RestsOn {
        let digest = |bytes: &[u8]| model::Sha256::of(bytes);
        RestsOn {
            identity: digest(b"a report"),
            record: digest(b"its record"),
            signed_by: "Maja Holt, North Bay (Inspector)".to_owned().try_into().unwrap(),
            found,
            checked_at: "2026-11-24T10:00:00Z".parse().unwrap(),
        }
    }

    fn verdict(headline: Headline, of: Option<&RestsOn>) -> Verdict {
        let trust = Trust::at("2026-11-25T10:00:00Z".parse().unwrap());
        let report = of.map(|of| Identified {
            identity: of.identity.to_string(),
            record: of.record.to_string(),
            record_short: String::new(),
            claimed_time: None,
        });
        Verdict { headline, report, ..check_at(b"", &trust, IS_INSIDE) }
    }

    /// The code of what came of it; of what was taken back, with a plus sign before it.
    fn code(named: &RestsOn, verdict: &Verdict) -> String {
        match check_ground(named, verdict) {
            (Ok(()), None) => "-".to_owned(),
            (Ok(()), Some(lost)) => format!("+{}", lost.code),
            (Err(Refusal::Failed(finding) | Refusal::NotKnown(finding)), None) => finding.code.to_owned(),
            (Err(_), Some(_)) => "both".to_owned(),
        }
    }

    #[test]
    fn a_report_may_stand_no_worse_than_page_1_says() {
        use ReportFound::{NotConfirmed, Refused, Superseded, Withdrawn};
        let cases: [(Headline, &[ReportFound], &str); 6] = [
            (Headline::Genuine, &FOUND, "-"),
            (Headline::GenuineStandingNotChecked, &FOUND, "-"),
            (Headline::GenuineButSuperseded, &[Superseded, Withdrawn, Refused], "+superseded"),
            (Headline::GenuineButWithdrawn, &[Withdrawn, Refused], "+withdrawn"),
            (Headline::CannotBeFullyConfirmed, &[NotConfirmed, Refused], "report-not-confirmed"),
            (Headline::DoNotRely, &[Refused], codes::REPORT_FAILS),
        ];
        for (headline, is_said_by, otherwise) in cases {
            for found in FOUND {
                let named = named(found);
                let expected = if is_said_by.contains(&found) { "-" } else { otherwise };
                assert_eq!(code(&named, &verdict(headline, Some(&named))), expected, "{headline:?}, said: {found:?}");
            }
        }
    }

    #[test]
    fn another_report_than_the_one_that_is_named_is_refused() {
        let other = |change: fn(&mut RestsOn)| {
            let mut other = named(ReportFound::Genuine);
            change(&mut other);
            other
        };
        let another_identity = other(|one| one.identity = model::Sha256::of(b"another report"));
        let another_record = other(|one| one.record = model::Sha256::of(b"another record"));
        for of in [None, Some(&another_identity), Some(&another_record)] {
            for headline in Headline::ALL {
                let expected =
                    if headline == Headline::DoNotRely { codes::REPORT_FAILS } else { codes::REPORT_DIFFERS };
                assert_eq!(code(&named(ReportFound::Genuine), &verdict(headline, of)), expected, "{headline:?}");
                // Where page 1 says that it is not to be relied on, nothing rests on it.
                assert_eq!(code(&named(ReportFound::Refused), &verdict(headline, of)), "-", "{headline:?}");
            }
        }
    }
}
