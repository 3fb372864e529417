//! Does the report still stand?

use crate::{
    certificate::{Role, Subject},
    chain::Chain,
    digest::ReportIdentity,
    statement::{SignedStatement, StatementKind},
    trust::Trust,
    verdict::{Check, Finding, Standing, Whose},
};

/// Withdrawn or superseded, else as of when nothing speaks against the report.
///
/// A statement counts if it comes from the report's own signer (the person may have a new certificate) or from the
/// firm's office, under the same root, with a key that is not revoked. Expiry does not undo a withdrawal.
pub(super) fn check_standing(
    report: ReportIdentity,
    chain: &Chain,
    whose: &Check<Whose>,
    trust: &Trust,
    remarks: &mut Vec<Finding>,
) -> Check<Standing> {
    let mut doubtful = None;
    let mut counting: Vec<&SignedStatement> = Vec::new();
    for signed in trust.statements.iter().filter(|signed| signed.statement().report == report) {
        match judge_statement(signed, chain, trust) {
            Ok(()) => counting.push(signed),
            Err(finding) => {
                doubtful = doubtful.or_else(|| (finding.code == "statement-key-revoked").then(|| finding.clone()));
                remarks.push(finding);
            }
        }
    }
    // A withdrawal outweighs a supersession; of equals the earliest counts.
    counting.sort_by_key(|signed| (signed.statement().kind != StatementKind::Withdrawn, signed.statement().when));
    if let Some(signed) = counting.first() {
        return object(signed);
    }
    if let Some(finding) = doubtful {
        return Check::NotChecked(finding);
    }
    if let Check::Failed(finding) = whose {
        return Check::not_checked("signer-refused", format!("the signature does not count: {}", finding.reason));
    }
    let revocations = match trust.revocations_known_as_of(chain) {
        Ok(as_of) => as_of,
        Err(finding) => return Check::NotChecked(finding),
    };
    match trust.statements_complete_as_of {
        Some(statements) => Check::Passed(Standing { as_of: statements.min(revocations) }),
        None => Check::not_checked("withdrawals-not-checked", "no complete list of the firm's withdrawals was given"),
    }
}

fn object(signed: &SignedStatement) -> Check<Standing> {
    let statement = signed.statement();
    let when = statement.when.format("%Y-%m-%d %H:%M UTC");
    let (by, reason) = (&statement.by, &statement.reason);
    match statement.kind {
        StatementKind::Withdrawn => Check::failed("withdrawn", format!("withdrawn on {when} by {by}: {reason}")),
        StatementKind::Superseded { by: other } => {
            Check::failed("superseded", format!("superseded by report {other} on {when} by {by}: {reason}"))
        }
    }
}

fn judge_statement(signed: &SignedStatement, chain: &Chain, trust: &Trust) -> Result<(), Finding> {
    let by = &signed.statement().by;
    let set_aside = |code, what: &str| Finding { code, reason: format!("a statement of {by} was set aside: {what}") };
    let is_of_the_firm = signed.chain().root().key() == chain.root().key();
    if !is_of_the_firm || !may_object(signed.chain(), chain) {
        return Err(set_aside("statement-without-right", "only the report's signer and the firm's office may object"));
    }
    // An expired key still withdraws (not checked, rather than failed): doubt must not bring a report back.
    match trust.judge(signed.chain(), None) {
        Check::Failed(finding) if finding.code == "revoked" => Err(set_aside("statement-key-revoked", &finding.reason)),
        Check::Failed(finding) => Err(set_aside("statement-refused", &finding.reason)),
        Check::Passed(_) | Check::NotChecked(_) => Ok(()),
    }
}

fn may_object(objector: &Chain, report: &Chain) -> bool {
    let person = |chain: &Chain| -> Option<Subject> { chain.person().subject().ok() };
    match (person(objector), person(report)) {
        (Some(objector), Some(signer)) => objector.role == Some(Role::Office) || objector == signer,
        _ => false,
    }
}
