//! A condition statement: answers that rest on what is there, days in their order.

use super::{Problems, limits};
use crate::{
    condition_statement::{AnswerBasis, ConditionStatement, StatementContent},
    parse::Problem,
};

/// Contradictions of what is stated; `has_report` says whether a report goes with it.
pub fn content(content: &StatementContent, has_report: bool) -> Vec<Problem> {
    let mut problems = Problems::default();
    for (field, got, least, most) in [
        ("answers", content.answers.len(), 1, 50),
        ("findings", content.findings.len(), 0, 100),
        ("before_handover", content.before_handover.len(), 0, 50),
    ] {
        problems
            .add_if(!(least..=most).contains(&got), field, || format!("got {got} entries, expected {least} to {most}"));
    }
    problems.add_if(content.car.odometer.figure > crate::Odometer::MOST, "car.odometer.figure", || {
        format!("got {}, expected at most {}", content.car.odometer.figure, crate::Odometer::MOST)
    });
    for (at, answer) in content.answers.iter().enumerate() {
        let field = format!("answers[{at}].basis");
        problems.add_if(answer.basis == AnswerBasis::OwnFindings && content.findings.is_empty(), field.clone(), || {
            "got own_findings, expected findings that it can rest on; there are none".to_owned()
        });
        problems.add_if(answer.basis == AnswerBasis::Report && !has_report, field, || {
            "got report, expected a report that goes with the statement; there is none".to_owned()
        });
    }
    problems.0
}

pub fn statement(statement: &ConditionStatement) -> Vec<Problem> {
    let mut problems = Problems::default();
    limits::year(statement.frozen_at, "frozen_at", &mut problems);
    problems.add_if(statement.renderer.0 == 0, "renderer", || "got 0, expected a version from 1".to_owned());
    problems.add_if((statement.device.sequence == 1) != statement.device.previous.is_none(), "device.previous", || {
        "expected none for a device's first record and the digest of the one before for every other".to_owned()
    });
    problems.add_if(
        statement.device.sequence == 0 || statement.device.sequence > (1 << 53) - 1,
        "device.sequence",
        || format!("got {}, expected 1 to {}", statement.device.sequence, (1_u64 << 53) - 1),
    );
    let stated = statement.frozen_at.date_naive();
    problems.add_if(statement.content.asked_on > stated, "content.asked_on", || {
        format!("got {}, expected a day up to the statement's, {stated}", statement.content.asked_on)
    });
    for (at, finding) in statement.content.findings.iter().enumerate() {
        problems.add_if(finding.on > stated, format!("content.findings[{at}].on"), || {
            format!("got {}, expected a day up to the statement's, {stated}", finding.on)
        });
    }
    if let Some(report) = &statement.rests_on {
        problems.add_if(report.checked_at > statement.frozen_at, "rests_on.checked_at", || {
            format!(
                "got {}, expected a time before the statement was frozen, {}",
                report.checked_at, statement.frozen_at
            )
        });
    }
    let mut all = problems.0;
    all.extend(
        content(&statement.content, statement.rests_on.is_some())
            .into_iter()
            .map(|problem| Problem::new(format!("content.{}", problem.field), problem.message)),
    );
    all
}
