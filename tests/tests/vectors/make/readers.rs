//! One report, many readers: whose, and does it still stand?

use rand_chacha::rand_core::SeedableRng as _;
use seal::{
    certificate::{Firm, Role, create_root},
    digest::{ReportIdentity, Sha256Digest},
    sealing::{add_receipt, seal_file},
    statement::StatementKind,
};

use super::{
    firm::{ENTERED, House, at, key},
    folder::Folder,
    scene::{Scene, receipt},
};
use crate::manifest::Brought;

const PLAIN: &str = "reports/plain.pdf.gz";
const LOGGED: &str = "reports/receipt.pdf.gz";

pub fn add(folder: &mut Folder, scene: &Scene) {
    let full = &scene.full;
    let good = ["-", "-", "?no-proof-of-time", "-"];
    folder.report(
        "plain",
        &scene.real.sealed,
        full,
        (good, "genuine"),
        "a sealed report, with nothing else in its room",
    );
    let logged = add_receipt(&scene.real.sealed, &receipt(&scene.real.sealed)).unwrap();
    folder.report("receipt", &logged, full, (["-"; 4], "genuine"), "the same report with its log's receipt");
    roots(folder, scene);
    ages(folder, scene);
    revocations(folder, scene);
    standing(folder, scene);
    let office = seal_file(scene.small.prepared.clone(), &scene.house.signer(&scene.nadia)).unwrap();
    let answers = ["!pages-differ", "!role-may-not-seal", "?no-proof-of-time", "-"];
    folder.report("role-office", &office, full, (answers, "do-not-rely"), "somebody of the office seals a report");
    let colleague = seal_file(scene.small.prepared.clone(), &scene.house.signer(&scene.tomas)).unwrap();
    let answers = ["!pages-differ", "!author-differs", "?no-proof-of-time", "-"];
    folder.report("author-differs", &colleague, full, (answers, "do-not-rely"), "a colleague signs another's report");
}

fn roots(folder: &mut Folder, scene: &Scene) {
    let full = &scene.full;
    let answers = ["-", "?unknown-root", "?no-proof-of-time", "-"];
    let unknown = (answers, "cannot-be-fully-confirmed");
    let foreign = House::found("Saltmarsh Motor House", 40);
    let root = folder.put("trust/foreign-root.pem", foreign.root.to_pem());
    let reader = Brought { roots: vec![root], logs: Vec::new(), ..full.clone() };
    folder.again("root-unknown", PLAIN, &reader, unknown, "the reader knows another firm alone");
    let firm = Firm { name: scene.house.name.into() };
    let mut rng = rand_chacha::ChaCha20Rng::from_seed([1; 32]);
    let namesake = create_root(&key(50), &firm, at("2026-01-01T00:00:00Z"), &mut rng).unwrap();
    let root = folder.put("trust/namesake-root.pem", namesake.to_pem());
    let reader = Brought { roots: vec![root], logs: Vec::new(), ..full.clone() };
    folder.again("root-namesake", PLAIN, &reader, unknown, "the reader's root has the same name and another key");
    let reader = Brought { roots: Vec::new(), logs: Vec::new(), ..full.clone() };
    folder.again("root-none", PLAIN, &reader, unknown, "the reader brings no root at all");
}

fn ages(folder: &mut Folder, scene: &Scene) {
    let period = ("2028-02-20T00:00:00Z", "2028-03-20T00:00:00Z");
    let later = folder.put("trust/crl-2028.pem", scene.house.list(17, period, &[]));
    let reader = Brought {
        at: "2028-03-01T12:00:00Z".to_owned(),
        revocation_lists: vec![later],
        statements_complete_as_of: Some("2028-03-01T12:00:00Z".to_owned()),
        ..scene.full.clone()
    };
    let answers = ["-", "?expired", "?no-proof-of-time", "-"];
    let shows = "the signer's certificate is over, and nothing proves an earlier signature";
    folder.again("expired", PLAIN, &reader, (answers, "cannot-be-fully-confirmed"), shows);
    let shows = "the signer's certificate is over, and the receipt proves an earlier signature";
    folder.again("expired-with-receipt", LOGGED, &reader, (["-"; 4], "genuine"), shows);
    let last = Brought { at: "2028-01-01T00:00:00Z".to_owned(), ..scene.full.clone() };
    let answers = ["-", "-", "?no-proof-of-time", "?revocation-list-outdated"];
    let shows = "the last second of the signer's certificate still counts";
    folder.again("last-second", PLAIN, &last, (answers, "genuine-standing-not-checked"), shows);
    let early = Brought { at: "2025-12-31T23:59:59Z".to_owned(), ..scene.full.clone() };
    let answers = ["-", "!not-yet-valid", "?no-proof-of-time", "?signer-refused"];
    folder.again("not-yet-valid", PLAIN, &early, (answers, "do-not-rely"), "before the signer's certificate begins");
}

fn revocations(folder: &mut Folder, scene: &Scene) {
    let with = |list: String| Brought { revocation_lists: vec![list], ..scene.full.clone() };
    let ines = &scene.ines.certificate;
    let later = with(folder.put("trust/crl-revoked-later.pem", scene.revoking(ines, "2026-11-25T00:00:00Z")));
    let shows = "the signer's key is revoked since after the receipt";
    folder.again("revoked-after", LOGGED, &later, (["-"; 4], "genuine"), shows);
    let answers = ["-", "!revoked", "?no-proof-of-time", "?signer-refused"];
    let shows = "the signer's key is revoked, and nothing proves an earlier signature";
    folder.again("revoked-without-proof", PLAIN, &later, (answers, "do-not-rely"), shows);
    let answers = ["-", "!revoked", "-", "?signer-refused"];
    for (name, since, shows) in [
        ("revoked-before", "2026-11-01T00:00:00Z", "the signer's key was revoked before the receipt"),
        ("revoked-at", ENTERED, "the signer's key was revoked in the very second of the receipt"),
    ] {
        let list = folder.put(&format!("trust/crl-{name}.pem"), scene.revoking(ines, since));
        folder.again(name, LOGGED, &with(list), (answers, "do-not-rely"), shows);
    }
    let period = ("2026-11-01T00:00:00Z", "2027-11-01T00:00:00Z");
    let issuer = &scene.house.issuer;
    let list = scene.house.root_list(1, period, &[(issuer, "2026-06-01T00:00:00Z")]);
    let mut reader = scene.full.clone();
    reader.revocation_lists.push(folder.put("trust/root-crl.pem", list));
    folder.again("issuer-revoked", LOGGED, &reader, (answers, "do-not-rely"), "the root has revoked its issuer");
    let old = scene.house.list(2, ("2026-10-01T00:00:00Z", "2026-10-31T00:00:00Z"), &[(ines, "2026-09-30T00:00:00Z")]);
    let reader = with(folder.put("trust/crl-old-revoked.pem", old));
    folder.again("revoked-in-an-old-list", LOGGED, &reader, (answers, "do-not-rely"), "an overdue list still revokes");
}

fn standing(folder: &mut Folder, scene: &Scene) {
    let full = &scene.full;
    let open = |code| (["-", "-", "-", code], "genuine-standing-not-checked");
    let reader = Brought { statements_complete_as_of: None, ..full.clone() };
    let shows = "nobody says that the statements are complete";
    folder.again("statements-incomplete", LOGGED, &reader, open("?withdrawals-not-checked"), shows);
    let reader = Brought { revocation_lists: Vec::new(), ..full.clone() };
    folder.again("list-missing", LOGGED, &reader, open("?revocation-list-missing"), "no revocation list");
    let reader = Brought { at: "2026-12-20T00:00:01Z".to_owned(), ..full.clone() };
    folder.again("list-overdue", LOGGED, &reader, open("?revocation-list-outdated"), "the list is overdue by a second");

    let other = StatementKind::Superseded { by: ReportIdentity(Sha256Digest::of(b"another report")) };
    let withdrawn = StatementKind::Withdrawn;
    let stranger = House::found("Saltmarsh Motor House", 40);
    let strange = stranger.hire("Nadia Okoro", Role::Office, 41);
    let mut put = |name: &str, pem: String| folder.put(&format!("trust/{name}.pem"), pem);
    let by_office = put("withdrawn-by-office", scene.say(withdrawn, &scene.nadia, &scene.house));
    let by_signer = put("withdrawn-by-signer", scene.say(withdrawn, &scene.ines, &scene.house));
    let by_colleague = put("withdrawn-by-colleague", scene.say(withdrawn, &scene.tomas, &scene.house));
    let by_stranger = put("withdrawn-by-stranger", scene.say(withdrawn, &strange, &stranger));
    let superseded = put("superseded", scene.say(other, &scene.nadia, &scene.house));
    let with = |statements: &[&String]| Brought {
        statements: statements.iter().map(|path| (*path).clone()).collect(),
        ..full.clone()
    };
    let gone = (["-", "-", "-", "!withdrawn"], "genuine-but-withdrawn");
    folder.again("withdrawn-by-office", LOGGED, &with(&[&by_office]), gone, "the firm's office withdraws it");
    folder.again("withdrawn-by-signer", LOGGED, &with(&[&by_signer]), gone, "its own signer withdraws it");
    let replaced = (["-", "-", "-", "!superseded"], "genuine-but-superseded");
    folder.again("superseded", LOGGED, &with(&[&superseded]), replaced, "another report is in its place");
    let both = with(&[&superseded, &by_office]);
    folder.again("superseded-and-withdrawn", LOGGED, &both, gone, "a withdrawal outweighs a supersession");
    let neither = with(&[&by_colleague, &by_stranger]);
    let shows = "a colleague and a namesake of another firm may not withdraw it";
    let genuine = (["-"; 4], "genuine");
    folder.again("withdrawn-by-others", LOGGED, &neither, genuine, shows).remark(&["statement-without-right"; 2]);
    let mut revoked = with(&[&by_office]);
    let list = scene.revoking(&scene.nadia.certificate, "2026-11-24T00:00:00Z");
    revoked.revocation_lists = vec![folder.put("trust/crl-office-revoked.pem", list)];
    let shows = "a revoked key of the office withdraws it: doubt, in neither direction";
    let answers = open("?statement-key-revoked");
    folder.again("withdrawn-by-revoked-key", LOGGED, &revoked, answers, shows).remark(&["statement-key-revoked"]);
    let late = scene.house.hire_from("2026-11-25T12:00:01Z", "Nadia Okoro", Role::Office, 43);
    let by_late = folder.put("trust/withdrawn-by-late.pem", scene.say(withdrawn, &late, &scene.house));
    let shows = "a key of the office that is certified from a second later on withdraws it: a clock may be behind";
    let answers = open("?statement-not-yet-valid");
    folder
        .again("withdrawn-by-late-key", LOGGED, &with(&[&by_late]), answers, shows)
        .remark(&["statement-not-yet-valid"]);
    let unknown = Brought { roots: Vec::new(), logs: Vec::new(), ..with(&[&by_office]) };
    let answers = ["-", "?unknown-root", "?no-proof-of-time", "!withdrawn"];
    let shows = "withdrawn, and under a root that the reader does not know";
    folder.again("withdrawn-unknown-root", PLAIN, &unknown, (answers, "do-not-rely"), shows);
}
