//! A dealer's condition statements: with the inspector's report inside, and without.

use model::ConditionStatement;
use seal::{certificate::Role, sealing::seal_file};
use serde_json::{Value, json};

use super::{
    firm::House,
    folder::{Answers, Folder},
    scene::{CURRENT, Scene},
};
use crate::manifest::Brought;

const GOOD: (Answers, &str) = (["-", "-", "?no-proof-of-time", "-"], "genuine");

pub fn add(folder: &mut Folder, scene: &Scene) {
    let dealer = House::found("Saltmarsh Motor House", 40);
    let jonas = dealer.hire("Jonas Brae", Role::Dealer, 42);
    let inspector = dealer.hire("Jonas Brae", Role::Inspector, 43);
    let root = folder.put("trust/foreign-root.pem", dealer.root.to_pem());
    let list = folder.put("trust/foreign-crl.pem", dealer.list(5, CURRENT, &[]));
    let reader = Brought {
        roots: vec![root.clone()],
        revocation_lists: vec![list.clone()],
        logs: Vec::new(),
        ..scene.full.clone()
    };
    let alone = draw(&Value::Null, None);
    let sealed = seal_file(alone.clone(), &dealer.signer(&jonas)).unwrap();
    let shows = "a dealer's condition statement that rests on the dealer's own findings";
    folder.report("statement", &sealed, &reader, GOOD, shows);
    let sealed = seal_file(alone, &dealer.signer(&inspector)).unwrap();
    let answers = ["-", "!role-may-not-seal", "?no-proof-of-time", "-"];
    let shows = "an inspector seals a condition statement, which is a dealer's to seal";
    folder.report("statement-role", &sealed, &reader, (answers, "do-not-rely"), shows);

    let mut both = reader.clone();
    both.roots.extend(scene.full.roots.clone());
    both.revocation_lists.extend(scene.full.revocation_lists.clone());
    let named = |identity: &str| {
        json!({"identity": identity, "record": model::Sha256::of(&scene.visit.bytes()).to_string(),
            "signed_by": "Ines Okafor-Lind, Harbour & Vale Inspections", "found": "genuine",
            "checked_at": "2026-11-25T10:00:00Z"})
    };
    let identity = scene.identity().to_string();
    let sealed = seal_file(draw(&named(&identity), Some(&scene.real.sealed)), &dealer.signer(&jonas)).unwrap();
    let shows = "a condition statement with the report that it rests on, and a reader who knows both firms";
    folder.report("statement-with-report", &sealed, &both, GOOD, shows).not_drawn("report-not-confirmed");
    let shows = "the same, and a reader who knows the dealer alone";
    let answers = ["?report-not-confirmed", "-", "?no-proof-of-time", "-"];
    let file = "reports/statement-with-report.pdf.gz";
    folder.again("statement-report-unknown", file, &reader, (answers, "cannot-be-fully-confirmed"), shows);
    let other = identity.replacen(|digit: char| digit != '0', "0", 1);
    let sealed = seal_file(draw(&named(&other), Some(&scene.real.sealed)), &dealer.signer(&jonas)).unwrap();
    let answers = ["!report-differs", "-", "?no-proof-of-time", "-"];
    let shows = "the report inside is not the one that the statement names";
    folder.report("statement-report-other", &sealed, &both, (answers, "do-not-rely"), shows);
}

/// The statement drawn, the room empty.
fn draw(rests_on: &Value, report: Option<&[u8]>) -> Vec<u8> {
    let basis = if report.is_some() { "report" } else { "not_known" };
    let document = json!({
        "schema": "rimside.condition-statement/1", "renderer": 1, "salt": "07".repeat(16),
        "device": {"id": "desk-1", "sequence": 1, "previous": null}, "frozen_at": "2026-11-25T10:00:00Z",
        "author": "Jonas Brae", "rests_on": rests_on,
        "content": {
            "demonstration": true, "firm": "Saltmarsh Motor House", "contact": "sales@saltmarsh.example",
            "asked_by": "Amara Quill", "asked_on": "2026-11-24",
            "car": {"description": "Corvane Tessel", "vin": "00CRV2TS0SM000417", "registration": "TESSEL-417",
                "odometer": {"figure": 41380, "unit": "km"}},
            "answers": [{"question": "Are the discs worn?", "answer": "Not known.", "basis": basis}],
            "findings": [], "before_handover": [], "limits": null,
        },
    });
    let statement: ConditionStatement = serde_json::from_value(document).unwrap();
    let record = statement.canonical_bytes().unwrap();
    assert_eq!(model::parse_canonical_statement(&record).as_ref(), Ok(&statement));
    report::render_statement(&statement, &record, report).unwrap().bytes
}
