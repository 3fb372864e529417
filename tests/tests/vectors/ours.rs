//! Our own verifier on every vector.

use seal::receipt::{Checkpoint, LogKey};
use server::log::{AuditFault, Standing, audit};
use verify::{Answer, TrustTexts, Verdict, check_fully, check_signature};

use crate::{
    manifest::{Brought, Expected, Firm, Manifest},
    read, read_manifest, unpack,
};

fn text(path: &str) -> String {
    String::from_utf8(read(path)).unwrap()
}

/// What a reader knows who goes by a firm's folder alone.
fn trust_firm(firm: &Firm, at: &str) -> verify::Trust {
    let mut standing = Standing::default();
    loop {
        let wanted = standing.wants();
        if wanted.is_empty() {
            break;
        }
        for path in wanted {
            let file = format!("{}/{path}", firm.folder);
            standing.put(&path, firm.files.contains(&file).then(|| read(&file)).as_deref());
        }
    }
    let papers = standing.read().unwrap();
    let at = at.parse().unwrap();
    TrustTexts {
        roots: vec![papers.root],
        revocation_lists: papers.revoked.into_iter().collect(),
        logs: vec![papers.log],
        statements: papers.statements,
        statements_complete_as_of: papers.is_complete.then_some(at),
        ..TrustTexts::at(at)
    }
    .parse()
    .unwrap()
}

fn trust(brought: &Brought) -> verify::Trust {
    if let Some(firm) = &brought.firm {
        return trust_firm(firm, &brought.at);
    }
    let texts = |paths: &[String]| paths.iter().map(|path| text(path)).collect();
    TrustTexts {
        roots: texts(&brought.roots),
        revocation_lists: texts(&brought.revocation_lists),
        logs: texts(&brought.logs),
        witnesses: texts(&brought.witnesses),
        witnesses_needed: brought.witnesses_needed,
        authorities: Vec::new(),
        statements: texts(&brought.statements),
        statements_complete_as_of: brought.statements_complete_as_of.as_ref().map(|time| time.parse().unwrap()),
        at: brought.at.parse().unwrap(),
    }
    .parse()
    .unwrap()
}

fn spell(answer: &Answer) -> String {
    match answer {
        Answer::Passed { .. } => "passed".to_owned(),
        Answer::Failed { code, .. } => format!("failed: {code}"),
        Answer::NotChecked { code, .. } => format!("not checked: {code}"),
    }
}

fn answers(verdict: &Verdict) -> Expected {
    let questions = &verdict.questions;
    Expected {
        unchanged: spell(&questions.unchanged),
        whose: spell(&questions.whose),
        since_when: spell(&questions.since_when),
        still_stands: spell(&questions.still_stands),
        headline: serde_json::to_value(verdict.headline).unwrap().as_str().unwrap().to_owned(),
        remarks: verdict.details.remarks.iter().map(|remark| remark.code.to_owned()).collect(),
    }
}

#[test]
fn our_verifier_answers_what_the_manifest_says() {
    let Manifest { reports, .. } = read_manifest();
    let mut differing = Vec::new();
    for report in reports {
        let verdict = check_fully(&unpack(&report.file), &trust(&report.brought));
        let got = answers(&verdict);
        if got != report.expected {
            differing
                .push(format!("{}: got {got:#?}, expected {:#?}: {}", report.name, report.expected, verdict.because));
        }
    }
    assert!(differing.is_empty(), "{}", differing.join("\n"));
}

/// The signature alone never says more than both together: it draws nothing and so calls nothing genuine.
#[test]
fn the_signature_alone_finds_every_fault_of_the_signature() {
    for report in read_manifest().reports {
        let verdict = check_signature(&unpack(&report.file), &trust(&report.brought));
        let Some(otherwise) = &report.without_drawing else { continue };
        let got = answers(&verdict);
        // A report inside a statement is not looked at here.
        if otherwise.unchanged != "not checked: report-not-confirmed" {
            assert_eq!(got.unchanged, otherwise.unchanged, "{}", report.name);
        }
        assert_eq!((got.since_when, got.still_stands), (report.expected.since_when, report.expected.still_stands));
    }
}

#[test]
fn our_audit_says_of_every_log_what_the_manifest_says() {
    for log in read_manifest().logs {
        let key = LogKey::parse(text(&log.key).trim_end()).unwrap();
        let seen = log.seen.as_ref().map(|path| Checkpoint::parse(&text(path)).unwrap());
        let result = audit(&key, seen.as_ref(), |path| {
            let path = format!("{}/{path}", log.folder);
            if log.files.contains(&path) { Ok(read(&path)) } else { Err("it is not there") }
        });
        let got = match result {
            Ok(_) => "good",
            Err(AuditFault::Read { .. }) => "read",
            Err(AuditFault::Head) => "head",
            Err(AuditFault::Foreign { .. }) => "foreign",
            Err(AuditFault::Forked { .. }) => "forked",
            Err(AuditFault::Form { .. }) => "form",
            Err(AuditFault::Entry { .. }) => "entry",
            Err(AuditFault::Backwards { .. }) => "backwards",
            Err(AuditFault::Root { .. }) => "root",
            Err(other) => panic!("{}: {other}", log.name),
        };
        assert_eq!(got, log.expected, "{}", log.name);
    }
}
