//! Does the report still stand?

use crate::{
    certificate::{Role, Subject},
    chain::Chain,
    digest::ReportIdentity,
    statement::{SignedStatement, StatementKind},
    trust::Trust,
    verdict::{Check, Finding, Standing, Whose},
};

/// Why a statement is set aside that may be true all the same: it leaves the standing open.
const IN_DOUBT: [&str; 2] = ["statement-key-revoked", "statement-not-yet-valid"];

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
                doubtful = doubtful.or_else(|| IN_DOUBT.contains(&finding.code).then(|| finding.clone()));
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
    // Doubt must not bring a report back: an expired key still withdraws (not checked, rather than failed), and that the
    // reader's own clock is behind, or somebody else has the key, leaves it open.
    match trust.judge(signed.chain(), None) {
        Check::Failed(finding) => Err(match finding.code {
            "revoked" => set_aside("statement-key-revoked", &finding.reason),
            "not-yet-valid" => set_aside("statement-not-yet-valid", &finding.reason),
            _ => set_aside("statement-refused", &finding.reason),
        }),
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        certificate::{Person, certify_person},
        digest::Sha256Digest,
        fixture::{TestFirm, at},
        key::PrivateKey,
        revocation::{Reason, Revocation, RevocationList},
        signature::Signer,
        statement::sign_statement,
    };

    #[test]
    fn a_withdrawal_under_a_certificate_of_next_month_leaves_the_standing_open() {
        let mut firm = TestFirm::found("North Bay");
        let signer = firm.hire("Maja Holt", Role::Inspector);
        let key = PrivateKey::generate(&mut firm.rng);
        let person = Person { name: "Nadia Okoro".into(), organization: "North Bay".into(), role: Role::Office };
        let from = at("2026-07-01T00:00:00Z");
        let certificate =
            certify_person(&firm.issuer_key, &firm.issuer, &person, key.public(), from, &mut firm.rng).unwrap();
        let serial = certificate.serial();
        let chain = Chain::new(certificate, firm.issuer.clone(), firm.root.clone()).unwrap();
        let office = Signer::new(key, chain).unwrap();

        let report = ReportIdentity(Sha256Digest::of(b"a report"));
        let when = at("2026-05-25T10:00:00Z");
        let withdrawal = sign_statement(report, StatementKind::Withdrawn, "wrong car", when, &office).unwrap();
        let judge = |now: &str, revocations: &[Revocation]| {
            let week = (at("2026-05-30T00:00:00Z"), at("2026-07-30T00:00:00Z"));
            let list = RevocationList::publish(&firm.issuer_key, &firm.issuer, 7, week, revocations).unwrap();
            let trust = Trust {
                roots: vec![firm.root.clone()],
                revocation_lists: vec![list],
                statements: vec![withdrawal.clone()],
                statements_complete_as_of: Some(at(now)),
                ..Trust::at(at(now))
            };
            let (whose, mut remarks) = (trust.judge(signer.chain(), None), Vec::new());
            let standing = check_standing(report, signer.chain(), &whose, &trust, &mut remarks);
            (standing.code(), remarks.first().map(|finding| finding.code))
        };
        let early = "statement-not-yet-valid";
        assert_eq!(judge("2026-06-01T12:00:00Z", &[]), (Some(early), Some(early)));
        assert_eq!(judge("2026-07-01T12:00:00Z", &[]), (Some("withdrawn"), None));
        // So does a key that somebody else may have.
        let revoked = Revocation { serial, since: when, reason: Reason::KeyCompromise };
        let open = "statement-key-revoked";
        assert_eq!(judge("2026-07-01T12:00:00Z", &[revoked]), (Some(open), Some(open)));
    }
}
