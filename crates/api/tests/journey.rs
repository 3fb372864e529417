//! The operations on a real disk, one after another, and what they refuse.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests, with helpers outside of the test functions")]

use std::{
    fs,
    ops::ControlFlow,
    path::{Path, PathBuf},
    sync::{LazyLock, Mutex},
};

use api::{
    CertifyRequest, Existing, Explained as _, Fault, Headline, NativeWorld, Passphrase, PersonId, Reason,
    RevokeRequest, Role, SealReportError, SealRequest, SealedReport, StatementRequest, Step, TrustRequest,
    VerifyRequest, World as _, certify_person, found_firm, quietly, reckon, revoke_certificate, seal_report,
    show_record, state_withdrawal, verify_report,
};
use demo::scenario::{DrawnPhotograph, inspect, visits};

const WORLD: NativeWorld = NativeWorld;

fn passphrase() -> Passphrase {
    Passphrase::from("an invented phrase".to_owned())
}

fn id(text: &str) -> PersonId {
    text.parse().unwrap()
}

/// The first visit, with photographs as small as they can be.
static VISIT: LazyLock<(model::Inspection, Vec<DrawnPhotograph>)> =
    LazyLock::new(|| inspect(&visits()[0], (64, 48)).unwrap());

/// A folder with a firm, its inspector, its office and an inspection.
struct Desk {
    folder: tempfile::TempDir,
}

impl Desk {
    fn set_up() -> Self {
        let desk = Self { folder: tempfile::tempdir().unwrap() };
        found_firm(&WORLD, &desk.at("firm"), "Harbour & Vale Inspections", &passphrase()).unwrap();
        desk.certify("ines", "Ines Okafor-Lind", Role::Inspector);
        let (inspection, photographs) = &*VISIT;
        fs::write(desk.at("inspection.json"), serde_json::to_vec_pretty(inspection).unwrap()).unwrap();
        fs::create_dir(desk.at("photographs")).unwrap();
        for (number, photograph) in photographs.iter().enumerate() {
            // Names say nothing: the bytes do.
            fs::write(desk.at(&format!("photographs/DSC{number:04}.JPG")), &photograph.bytes).unwrap();
        }
        desk
    }

    fn at(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn certify(&self, person: &str, name: &str, role: Role) {
        let (firm, id) = (self.at("firm"), id(person));
        let request = CertifyRequest {
            firm: &firm,
            id: &id,
            name,
            role,
            firm_passphrase: &passphrase(),
            person_passphrase: &passphrase(),
        };
        certify_person(&WORLD, &request).unwrap();
    }

    fn seal_with(
        &self,
        out: &str,
        change: impl FnOnce(&mut SealRequest<'_>),
        progress: api::Progress<'_>,
    ) -> Result<SealedReport, SealReportError> {
        let (inspection, photographs) = (self.at("inspection.json"), self.at("photographs"));
        let (firm, out, person) = (self.at("firm"), self.at(out), id("ines"));
        let mut request = SealRequest {
            inspection: &inspection,
            photographs: &photographs,
            firm: &firm,
            person: &person,
            passphrase: &passphrase(),
            device: None,
            out: &out,
            existing: Existing::Refuse,
            supersedes: None,
            verify_at: None,
        };
        change(&mut request);
        seal_report(&WORLD, &request, progress)
    }

    fn seal(&self, out: &str) -> Result<SealedReport, SealReportError> {
        self.seal_with(out, |_| (), &quietly)
    }

    fn verify(&self, file: &str, statements: &[&str]) -> Headline {
        let statements: Vec<PathBuf> = statements.iter().map(|name| self.at(name)).collect();
        let request = VerifyRequest {
            file: &self.at(file),
            trust: TrustRequest {
                roots: &[self.at("firm/root.pem")],
                revocation_lists: &[self.at("firm/crl.pem")],
                statements: &statements,
                statements_complete_as_of: Some(WORLD.now()),
                ..TrustRequest::default()
            },
            signature_only: false,
        };
        verify_report(&WORLD, &request).unwrap().headline
    }

    fn withdraw(&self, file: &str, person: &str, out: &str, by: Option<&str>) -> Result<api::Stated, api::StateError> {
        let by = by.map(|name| self.at(name));
        let request = StatementRequest {
            report: &self.at(file),
            superseded_by: by.as_deref(),
            reason: "The mass was read from the wrong disc.",
            firm: &self.at("firm"),
            person: &id(person),
            passphrase: &passphrase(),
            out: &self.at(out),
            existing: Existing::Refuse,
        };
        state_withdrawal(&WORLD, &request)
    }

    /// Everything that lies in the folder itself, hidden files too.
    fn list(&self) -> Vec<String> {
        list(self.folder.path())
    }
}

fn list(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> =
        fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

#[test]
fn from_founding_to_withdrawing() {
    let desk = Desk::set_up();
    desk.certify("tomas", "Tomas Reyl", Role::Office);
    let first = desk.seal("first.pdf").unwrap();
    assert_eq!((first.sequence, first.photographs), (1, VISIT.1.len()));
    assert_eq!(desk.verify("first.pdf", &[]), Headline::Genuine);

    let shown = show_record(&WORLD, &desk.at("first.pdf")).unwrap();
    assert_eq!(model::Sha256::of(&shown.bytes).to_string(), first.record);
    assert_eq!(shown.record.inspection, VISIT.0);
    assert_eq!(shown.record.reckoning, reckon(&WORLD, &desk.at("inspection.json")).unwrap().1);
    fs::write(desk.at("record.json"), &shown.bytes).unwrap();
    assert_eq!(show_record(&WORLD, &desk.at("record.json")).unwrap().bytes, shown.bytes);

    let replaces = first.record.parse().unwrap();
    let second = desk.seal_with("second.pdf", |request| request.supersedes = Some(replaces), &quietly).unwrap();
    let record = show_record(&WORLD, &desk.at("second.pdf")).unwrap().record;
    assert_eq!((second.sequence, record.device.previous, record.supersedes), (2, Some(replaces), Some(replaces)));
    assert_eq!(record.device.id, shown.record.device.id);

    desk.withdraw("first.pdf", "tomas", "superseded.pem", Some("second.pdf")).unwrap();
    assert_eq!(desk.verify("first.pdf", &["superseded.pem"]), Headline::GenuineButSuperseded);
    desk.withdraw("first.pdf", "ines", "withdrawn.pem", None).unwrap();
    assert_eq!(desk.verify("first.pdf", &["superseded.pem", "withdrawn.pem"]), Headline::GenuineButWithdrawn);
    assert_eq!(desk.verify("second.pdf", &["superseded.pem", "withdrawn.pem"]), Headline::Genuine);
    assert_eq!(
        desk.list(),
        [
            "firm",
            "first.pdf",
            "inspection.json",
            "photographs",
            "record.json",
            "second.pdf",
            "superseded.pem",
            "withdrawn.pem"
        ]
    );
}

#[test]
fn a_revoked_inspector_neither_seals_nor_is_believed() {
    let desk = Desk::set_up();
    desk.seal("report.pdf").unwrap();
    let (firm, ines, passphrase) = (desk.at("firm"), id("ines"), passphrase());
    let request = |since| RevokeRequest {
        firm: &firm,
        person: &ines,
        reason: Reason::KeyCompromise,
        since,
        passphrase: &passphrase,
    };
    let tomorrow = WORLD.now() + chrono::TimeDelta::days(1);
    assert_eq!(revoke_certificate(&WORLD, &request(Some(tomorrow))).unwrap_err().code(), "revoked-in-future");
    let list = revoke_certificate(&WORLD, &request(None)).unwrap();
    assert_eq!((list.number, list.revoked), (2, 1));
    assert_eq!(revoke_certificate(&WORLD, &request(None)).unwrap_err().code(), "revoked-already");
    assert_eq!(desk.seal("second.pdf").unwrap_err().code(), "revoked");
    assert_eq!(desk.verify("report.pdf", &[]), Headline::DoNotRely);
    assert!(!desk.at("second.pdf").exists());
}

#[test]
fn photographs_are_found_by_their_bytes_or_named() {
    let desk = Desk::set_up();
    let names = list(&desk.at("photographs"));
    let ids: Vec<&str> = VISIT.1.iter().map(DrawnPhotograph::id).collect();
    // One is gone, one lies under its own name with other bytes, one is there twice, and a text lies among them.
    fs::remove_file(desk.at("photographs").join(&names[0])).unwrap();
    fs::remove_file(desk.at("photographs").join(&names[1])).unwrap();
    fs::write(desk.at(&format!("photographs/{}.jpg", ids[1])), b"edited").unwrap();
    fs::write(desk.at("photographs/again.jpg"), &VISIT.1[2].bytes).unwrap();
    fs::write(desk.at("photographs/notes.txt"), b"notes").unwrap();
    let fault = Fault::from(desk.seal("report.pdf").unwrap_err());
    assert_eq!(fault.code, "photographs-missing");
    assert!(fault.message.starts_with(&format!("2 of {} photographs are not in", ids.len())), "{}", fault.message);
    let digest = model::Sha256::of(&VISIT.1[0].bytes).to_string();
    assert!(fault.message.contains(ids[0]) && fault.message.contains(&digest), "{}", fault.message);
    assert!(fault.message.contains(&format!("{}.jpg has other bytes", ids[1])), "{}", fault.message);
    fs::write(desk.at("photographs/one.jpg"), &VISIT.1[0].bytes).unwrap();
    fs::write(desk.at("photographs/two.png"), &VISIT.1[1].bytes).unwrap();
    // Nothing was used up by the failure.
    assert_eq!(desk.seal("report.pdf").unwrap().sequence, 1);
    assert_eq!(desk.verify("report.pdf", &[]), Headline::Genuine);
}

#[test]
fn a_damaged_photograph_is_named_by_its_file() {
    let desk = Desk::set_up();
    let (mut inspection, photographs) = VISIT.clone();
    let cut = &photographs[0].bytes[..photographs[0].bytes.len() / 2];
    inspection.photographs[0].sha256 = model::Sha256::of(cut);
    fs::write(desk.at("photographs/cut.jpg"), cut).unwrap();
    fs::write(desk.at("inspection.json"), serde_json::to_vec(&inspection).unwrap()).unwrap();
    let fault = Fault::from(desk.seal("report.pdf").unwrap_err());
    assert_eq!(fault.code, "photograph-refused");
    assert!(fault.message.contains("cut.jpg"), "{}", fault.message);
}

#[test]
fn progress_counts_photographs_and_can_be_stopped() {
    let desk = Desk::set_up();
    let steps = Mutex::new(Vec::new());
    let note = |step| {
        steps.lock().unwrap().push(step);
        ControlFlow::Continue(())
    };
    desk.seal_with("report.pdf", |_| (), &note).unwrap();
    let steps = steps.into_inner().unwrap();
    let of = VISIT.1.len();
    assert!(steps.contains(&Step::Photographs { done: of, of }));
    assert_eq!(steps[steps.len() - 3..], [Step::Pages, Step::Signature, Step::File]);
    assert_eq!(Step::Photographs { done: 3, of: 41 }.to_string(), "3 of 41 photographs");

    for step in [Step::Photographs { done: 1, of }, Step::Pages, Step::Signature, Step::File] {
        let stop = |now| if now == step { ControlFlow::Break(()) } else { ControlFlow::Continue(()) };
        assert_eq!(desk.seal_with("stopped.pdf", |_| (), &stop).unwrap_err().code(), "stopped", "{step:?}");
        assert_eq!(desk.list(), ["firm", "inspection.json", "photographs", "report.pdf"], "{step:?}");
    }
    assert_eq!(desk.seal("after.pdf").unwrap().sequence, 2);
}

#[test]
fn what_cannot_be_sealed_is_refused_before_anything_is_written() {
    let desk = Desk::set_up();
    desk.certify("tomas", "Tomas Reyl", Role::Office);
    desk.certify("otto", "Otto Fenn", Role::Inspector);
    let (right, wrong) = (passphrase(), Passphrase::from("another phrase".to_owned()));
    let [inspection, photographs, firm, out] =
        ["inspection.json", "photographs", "firm", "report.pdf"].map(|name| desk.at(name));
    let [ines, tomas, otto, nobody] = ["ines", "tomas", "otto", "nobody"].map(id);
    let base = || SealRequest {
        inspection: &inspection,
        photographs: &photographs,
        firm: &firm,
        person: &ines,
        passphrase: &right,
        device: None,
        out: &out,
        existing: Existing::Refuse,
        supersedes: None,
        verify_at: None,
    };
    let refused = |request: &SealRequest<'_>| seal_report(&WORLD, request, &quietly).unwrap_err().code();
    assert_eq!(refused(&SealRequest { person: &tomas, ..base() }), "role-may-not-seal");
    assert_eq!(refused(&SealRequest { person: &otto, ..base() }), "author-differs");
    assert_eq!(refused(&SealRequest { person: &nobody, ..base() }), "no-such-person");
    assert_eq!(refused(&SealRequest { passphrase: &wrong, ..base() }), "wrong-passphrase");
    assert_eq!(refused(&SealRequest { out: &inspection, ..base() }), "file-exists");
    let nowhere = desk.at("nowhere");
    assert_eq!(refused(&SealRequest { firm: &nowhere, ..base() }), "not-a-firm");
    assert_eq!(refused(&SealRequest { inspection: &nowhere, ..base() }), "file-not-found");
    assert_eq!(refused(&SealRequest { inspection: &photographs, ..base() }), "is-a-folder");
    let key = desk.at("firm/root.pem");
    assert_eq!(refused(&SealRequest { inspection: &key, ..base() }), "inspection-refused");
    let lost = desk.at("nowhere/report.pdf");
    assert_eq!(refused(&SealRequest { out: &lost, ..base() }), "file-not-found");
    assert_eq!(desk.list(), ["firm", "inspection.json", "photographs"]);
    assert_eq!(desk.seal("report.pdf").unwrap().sequence, 1, "no refusal used up a number");
}

#[test]
fn a_firm_is_founded_in_an_empty_folder_only() {
    let folder = tempfile::tempdir().unwrap();
    let firm = folder.path().join("firm");
    let found =
        |passphrase: &str| found_firm(&WORLD, &firm, "North Bay", &Passphrase::from(passphrase.to_owned())).map(|_| ());
    assert_eq!(found("short").unwrap_err().code(), "passphrase-too-short");
    assert!(list(folder.path()).is_empty());
    fs::create_dir(&firm).unwrap();
    found("long enough").unwrap();
    assert_eq!(list(&firm), ["crl.pem", "issuer.key.pem", "issuer.pem", "people", "root.key.pem", "root.pem"]);
    assert_eq!(found("long enough").unwrap_err().code(), "folder-not-empty");
    assert_eq!(list(folder.path()), ["firm"]);
}

#[test]
fn a_name_in_the_firm_is_taken_once() {
    let desk = Desk::set_up();
    let before = fs::read(desk.at("firm/people/ines.pem")).unwrap();
    let request = CertifyRequest {
        firm: &desk.at("firm"),
        id: &id("ines"),
        name: "Somebody Else",
        role: Role::Inspector,
        firm_passphrase: &passphrase(),
        person_passphrase: &passphrase(),
    };
    assert_eq!(certify_person(&WORLD, &request).unwrap_err().code(), "person-exists");
    assert_eq!(fs::read(desk.at("firm/people/ines.pem")).unwrap(), before);
}

#[test]
fn only_those_with_the_right_take_a_report_back() {
    let desk = Desk::set_up();
    desk.certify("otto", "Otto Fenn", Role::Inspector);
    desk.seal("report.pdf").unwrap();
    let refused = desk.withdraw("report.pdf", "otto", "withdrawn.pem", None).unwrap_err();
    assert_eq!(refused.code(), "statement-without-effect");
    assert!(!desk.at("withdrawn.pem").exists());
    let other = Desk::set_up();
    fs::copy(desk.at("report.pdf"), other.at("report.pdf")).unwrap();
    let refused = other.withdraw("report.pdf", "ines", "withdrawn.pem", None).unwrap_err();
    assert_eq!(refused.code(), "report-of-another-firm");
    let mut changed = fs::read(desk.at("report.pdf")).unwrap();
    let middle = changed.len() / 2;
    changed[middle] ^= 1;
    fs::write(desk.at("changed.pdf"), changed).unwrap();
    assert_eq!(desk.withdraw("changed.pdf", "ines", "withdrawn.pem", None).unwrap_err().code(), "report-refused");
    assert_eq!(desk.withdraw("report.pdf", "ines", "inspection.json", None).unwrap_err().code(), "file-exists");
}

#[test]
fn a_readers_own_file_that_is_something_else_is_named() {
    let desk = Desk::set_up();
    desk.seal("report.pdf").unwrap();
    let refused = |roots: &[PathBuf], lists: &[PathBuf], statements: &[PathBuf]| {
        let request = VerifyRequest {
            file: &desk.at("report.pdf"),
            trust: TrustRequest { roots, revocation_lists: lists, statements, ..TrustRequest::default() },
            signature_only: true,
        };
        let fault = Fault::from(verify_report(&WORLD, &request).unwrap_err());
        assert!(fault.message.contains("inspection.json"), "{}", fault.message);
        fault.code
    };
    let wrong = [desk.at("inspection.json")];
    assert_eq!(refused(&wrong, &[], &[]), "root-refused");
    assert_eq!(refused(&[], &wrong, &[]), "revocation-list-refused");
    assert_eq!(refused(&[], &[], &wrong), "statement-refused");
}
