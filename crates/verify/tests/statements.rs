//! A dealer's condition statement: that it is told from a report, outside and inside.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests, with helpers outside of the test functions")]

mod sealed;

use model::{ConditionStatement, ConditionStatementSchema, Device, Line, ReportFound, RestsOn, Salt, Sha256};
use seal::{certificate::Role, digest::Sha256Digest, file::SealedFile, sealing::seal_file, signature::Signer};
use sealed::{Case, record};
use verify::{Headline, check_fully, check_signature};

/// The scenario's statement in the firm's own name, resting on a sealed file that it takes for a sound report.
fn state(dealer: &Signer, inside: &[u8]) -> Vec<u8> {
    let read = SealedFile::read(inside).unwrap();
    let mut content = demo::scenario::statement().unwrap();
    content.firm = Line::try_from("Harbour & Vale Inspections").unwrap();
    let statement = ConditionStatement {
        schema: ConditionStatementSchema::V1,
        renderer: report::RENDERER,
        salt: Salt::new([6; 16]),
        device: Device { id: "dealer-1".parse().unwrap(), sequence: 1, previous: None },
        frozen_at: "2026-11-25T10:00:00+01:00".parse().unwrap(),
        author: Line::try_from("Owen Tarrow").unwrap(),
        content,
        rests_on: Some(RestsOn {
            identity: Sha256Digest::from_bytes(read.identity()).to_string().parse().unwrap(),
            record: Sha256::of(&read.record().unwrap().bytes),
            signed_by: Line::try_from("Ines Okafor-Lind, Harbour & Vale Inspections").unwrap(),
            found: ReportFound::Genuine,
            checked_at: "2026-11-25T09:00:00+01:00".parse().unwrap(),
        }),
    };
    let record = statement.canonical_bytes().unwrap();
    seal_file(report::render_statement(&statement, &record, Some(inside)).unwrap().bytes, dealer).unwrap()
}

#[test]
fn a_statement_says_who_states_it_and_whose_report_it_rests_on() {
    let mut case = Case::found();
    let dealer = case.hire("Owen Tarrow", Role::Dealer);
    let statement = state(&dealer, &case.seal(&record()));
    let verdict = check_fully(&statement, &case.trust());
    assert_eq!(verdict.headline, Headline::Genuine, "{verdict:#?}");
    let states = verdict.states.unwrap();
    assert!(states.starts_with("Harbour & Vale Inspections states") && states.contains("Ines Okafor-Lind"), "{states}");
    let inside = verdict.rests_on.unwrap();
    assert_eq!((inside.headline, inside.states), (Headline::Genuine, None));
    // Whoever looks at the signature alone is told that it is a statement, too.
    assert!(check_signature(&statement, &case.trust()).states.is_some());
}

#[test]
fn a_statement_inside_a_statement_is_not_to_be_relied_on() {
    let mut case = Case::found();
    let dealer = case.hire("Owen Tarrow", Role::Dealer);
    let first = state(&dealer, &case.seal(&record()));
    let verdict = check_fully(&state(&dealer, &first), &case.trust());
    assert_eq!((verdict.headline, verdict.questions.unchanged.code()), (Headline::DoNotRely, Some("report-fails")));
    assert!(verdict.because.contains("this is another statement"), "{}", verdict.because);
    let inside = verdict.rests_on.unwrap();
    assert_eq!(inside.questions.unchanged.code(), Some("statement-inside"));
    assert!(inside.rests_on.is_none(), "it is not looked into any further");
}
