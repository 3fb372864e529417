//! A dealer's condition statement: what other programs say of it, and who is said to say what.

use std::path::{Path, PathBuf};
use std::sync::LazyLock;

use api::{
    CertifyRequest, Existing, Headline, Passphrase, PersonId, Role, SealStatementError, SealStatementRequest,
    SealedStatement, StatementRequest, TrustRequest, Verdict, VerifyRequest, certify_person, found_firm,
    seal_statement, state_withdrawal, verify_report,
};
use demo::scenario::{people, statement};
use model::ReportFound;
use rimside_tests::{FixedWorld, ask_pyhanko, check_with_qpdf, read_text};

use crate::SEALED;

static WORLD: LazyLock<FixedWorld> = LazyLock::new(|| FixedWorld::seeded("the dealer"));

struct Dealer {
    folder: tempfile::TempDir,
}

fn passphrase() -> Passphrase {
    Passphrase::from("demonstration only".to_owned())
}

fn certify(firm: &Path, id: &str, name: &str, role: Role) {
    let passphrase = passphrase();
    let request = CertifyRequest {
        firm,
        id: &id.parse::<PersonId>().unwrap(),
        name,
        role,
        firm_passphrase: &passphrase,
        person_passphrase: &passphrase,
    };
    certify_person(&*WORLD, &request).unwrap();
}

impl Dealer {
    fn set_up() -> Self {
        let dealer = Self { folder: tempfile::tempdir().unwrap() };
        let firm = dealer.at("firm");
        found_firm(&*WORLD, &firm, people::DEALER, &passphrase()).unwrap();
        certify(&firm, "owen", "Owen Tarrow", Role::Dealer);
        certify(&firm, "iris", "Iris Vane", Role::Inspector);
        std::fs::write(dealer.at("statement.json"), serde_json::to_vec(&statement().unwrap()).unwrap()).unwrap();
        dealer
    }

    fn at(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn state(
        &self,
        report: &Path,
        person: &str,
        although_unsound: bool,
    ) -> Result<SealedStatement, SealStatementError> {
        self.state_with(report, person, although_unsound, &[])
    }

    fn state_with(
        &self,
        report: &Path,
        person: &str,
        although_unsound: bool,
        withdrawals: &[PathBuf],
    ) -> Result<SealedStatement, SealStatementError> {
        let request = SealStatementRequest {
            content: &self.at("statement.json"),
            report: Some(report),
            trust: TrustRequest {
                roots: std::slice::from_ref(&SEALED.root),
                statements: withdrawals,
                ..TrustRequest::default()
            },
            although_unsound,
            firm: &self.at("firm"),
            person: &person.parse().unwrap(),
            passphrase: &passphrase(),
            device: None,
            out: &self.at("statement.pdf"),
            existing: Existing::Replace,
        };
        seal_statement(&*WORLD, &request)
    }

    fn verify(&self, file: &Path, withdrawals: &[PathBuf]) -> Verdict {
        let request = VerifyRequest {
            file,
            trust: TrustRequest {
                roots: &[SEALED.root.clone(), self.at("firm/root.pem")],
                statements: withdrawals,
                ..TrustRequest::default()
            },
            signature_only: false,
        };
        verify_report(&*WORLD, &request).unwrap()
    }

    /// A withdrawal of the inspector's report by its own signer.
    fn withdraw(&self) -> PathBuf {
        let out = self.at("withdrawn.pem");
        let request = StatementRequest {
            report: &SEALED.report,
            reason: "The wrong disc was weighed.",
            superseded_by: None,
            firm: &SEALED.firm,
            person: &"ines".parse().unwrap(),
            passphrase: &passphrase(),
            out: &out,
            existing: Existing::Replace,
        };
        state_withdrawal(&*WORLD, &request).unwrap();
        out
    }
}

#[test]
fn other_programs_find_a_statement_as_sound_as_a_report() {
    let dealer = Dealer::set_up();
    dealer.state(&SEALED.report, "owen", false).unwrap();
    let said = ask_pyhanko(&dealer.at("statement.pdf"), &dealer.at("firm/root.pem"), FixedWorld::NOW).unwrap();
    assert_eq!(said.summary, "INTACT:TRUSTED,UNTOUCHED");
    assert_eq!((said.coverage.as_str(), said.bottom_line), ("ENTIRE_FILE", true));
    let said = check_with_qpdf(&dealer.at("statement.pdf")).unwrap();
    assert!(said.contains("No syntax or stream encoding errors found") && !said.contains("WARNING"), "{said}");
}

#[test]
fn both_are_checked_and_it_is_said_who_says_what() {
    let dealer = Dealer::set_up();
    let sealed = dealer.state(&SEALED.report, "owen", false).unwrap();
    assert_eq!(sealed.report_found, Some(ReportFound::StandingNotChecked));
    let verdict = dealer.verify(&dealer.at("statement.pdf"), &[]);
    assert_eq!(verdict.headline, Headline::GenuineStandingNotChecked);
    let states = verdict.states.unwrap();
    assert!(states.starts_with("Saltmarsh Motor House states") && states.contains("Ines Okafor-Lind"), "{states}");
    let inner = verdict.rests_on.unwrap();
    assert_eq!(inner.headline, Headline::GenuineStandingNotChecked);
    assert_eq!(inner.report.unwrap().identity, SEALED.told.identity);
    // The report comes out as it went in.
    let bytes = std::fs::read(dealer.at("statement.pdf")).unwrap();
    let inside = seal::file::SealedFile::read(&bytes).unwrap().report().unwrap();
    assert_eq!(inside, std::fs::read(&SEALED.report).unwrap());
    let report = dealer.verify(&SEALED.report, &[]);
    assert!(report.states.is_none() && report.rests_on.is_none());
}

#[test]
fn a_changed_report_inside_or_out_is_not_to_be_relied_on() {
    let dealer = Dealer::set_up();
    dealer.state(&SEALED.report, "owen", false).unwrap();
    let mut bytes = std::fs::read(dealer.at("statement.pdf")).unwrap();
    // The middle of the file lies in the report inside.
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    std::fs::write(dealer.at("changed.pdf"), &bytes).unwrap();
    assert_eq!(dealer.verify(&dealer.at("changed.pdf"), &[]).headline, Headline::DoNotRely);

    let mut report = std::fs::read(&SEALED.report).unwrap();
    let middle = report.len() / 2;
    report[middle] ^= 1;
    std::fs::write(dealer.at("report.pdf"), report).unwrap();
    let refused = dealer.state(&dealer.at("report.pdf"), "owen", false).unwrap_err();
    assert!(matches!(refused, SealStatementError::Unsound { .. }), "{refused}");
    // What nobody is known to have signed cannot even be named.
    let refused = dealer.state(&dealer.at("report.pdf"), "owen", true).unwrap_err();
    assert!(matches!(refused, SealStatementError::NoReport { .. }), "{refused}");
}

#[test]
fn a_report_that_is_withdrawn_later_takes_the_statement_with_it() {
    let dealer = Dealer::set_up();
    dealer.state(&SEALED.report, "owen", false).unwrap();
    let withdrawal = [dealer.withdraw()];
    let verdict = dealer.verify(&dealer.at("statement.pdf"), &withdrawal);
    assert_eq!(verdict.headline, Headline::GenuineButWithdrawn);
    assert!(verdict.because.starts_with("The report that it rests on was withdrawn"), "{}", verdict.because);
}

#[test]
fn on_a_withdrawn_report_only_what_says_so_on_page_1_rests() {
    let dealer = Dealer::set_up();
    let withdrawal = [dealer.withdraw()];
    let refused = dealer.state_with(&SEALED.report, "owen", false, &withdrawal).unwrap_err();
    assert!(matches!(refused, SealStatementError::Unsound { .. }), "{refused}");
    let sealed = dealer.state_with(&SEALED.report, "owen", true, &withdrawal).unwrap();
    assert_eq!(sealed.report_found, Some(ReportFound::Withdrawn));
    let page = read_text(&dealer.at("statement.pdf")).unwrap();
    assert!(page.contains("The report inside this file does not stand any more"), "{page}");
    assert!(page.contains("withdrawn by its firm"), "{page}");
    let verdict = dealer.verify(&dealer.at("statement.pdf"), &withdrawal);
    assert_eq!(verdict.headline, Headline::GenuineStandingNotChecked, "{}", verdict.because);
    assert_eq!(verdict.rests_on.unwrap().headline, Headline::GenuineButWithdrawn);
}

#[test]
fn only_a_dealer_states_and_only_on_a_report() {
    let dealer = Dealer::set_up();
    let refused = dealer.state(&SEALED.report, "iris", false).unwrap_err();
    assert!(refused.to_string().contains("certified as Inspector, expected Dealer"), "{refused}");
    dealer.state(&SEALED.report, "owen", false).unwrap();
    let first = dealer.at("first.pdf");
    std::fs::rename(dealer.at("statement.pdf"), &first).unwrap();
    let refused = dealer.state(&first, "owen", true).unwrap_err();
    assert!(matches!(refused, SealStatementError::NoReport { .. } | SealStatementError::Unsound { .. }), "{refused}");
}

/// The statement with something else said of its report, or another report inside, and its file changed after that; sealed
/// again by the dealer's own key.
fn seal_otherwise(
    dealer: &Dealer,
    inside: &Path,
    change: impl FnOnce(&mut model::RestsOn),
    change_file: impl FnOnce(&mut Vec<u8>),
) -> PathBuf {
    use seal::{certificate::Certificate, chain::Chain, file::SealedFile, key_file::unlock_key, signature::Signer};
    let bytes = std::fs::read(dealer.at("statement.pdf")).unwrap();
    let record = SealedFile::read(&bytes).unwrap().record().unwrap().bytes;
    let mut statement = model::parse_canonical_statement(&record).unwrap();
    change(statement.rests_on.as_mut().unwrap());
    let record = statement.canonical_bytes().unwrap();
    let report = std::fs::read(inside).unwrap();
    let mut prepared = report::render_statement(&statement, &record, Some(&report)).unwrap().bytes;
    change_file(&mut prepared);
    let text = |name: &str| std::fs::read_to_string(dealer.at("firm").join(name)).unwrap();
    let certificate = |name: &str| Certificate::parse_pem(&text(name)).unwrap();
    let key = unlock_key(&text("people/owen.key.pem"), &passphrase()).unwrap();
    let chain = Chain::new(certificate("people/owen.pem"), certificate("issuer.pem"), certificate("root.pem")).unwrap();
    let sealed = seal::sealing::seal_file(prepared, &Signer::new(key, chain).unwrap()).unwrap();
    let out = dealer.at("otherwise.pdf");
    std::fs::write(&out, sealed).unwrap();
    out
}

fn code(verdict: &Verdict) -> Option<&'static str> {
    verdict.questions.unchanged.code()
}

#[test]
fn a_report_other_than_the_one_that_is_named_is_refused() {
    let dealer = Dealer::set_up();
    dealer.state(&SEALED.report, "owen", false).unwrap();
    let named_otherwise =
        seal_otherwise(&dealer, &SEALED.report, |named| named.identity = model::Sha256::of(b"another"), |_| ());
    let verdict = dealer.verify(&named_otherwise, &[]);
    assert_eq!((verdict.headline, code(&verdict)), (Headline::DoNotRely, Some("report-differs")));
    let same = seal_otherwise(&dealer, &SEALED.report, |_| (), |_| ());
    assert_eq!(dealer.verify(&same, &[]).headline, Headline::GenuineStandingNotChecked);
}

/// One letter of its title is another; the report inside, which has one too, stands behind.
#[test]
fn a_statement_that_is_not_drawn_from_its_record_is_refused_though_the_dealer_signs_it() {
    let dealer = Dealer::set_up();
    dealer.state(&SEALED.report, "owen", false).unwrap();
    let otherwise = seal_otherwise(
        &dealer,
        &SEALED.report,
        |_| (),
        |file| {
            let title = file.windows(6).position(|bytes| bytes == b"/Title").unwrap();
            let letter = title + file[title..].iter().position(|byte| b"(<".contains(byte)).unwrap();
            let letter = letter + if file[letter] == b'<' { 7 } else { 3 };
            file[letter] = if file[letter] == b'4' { b'5' } else { b'4' };
        },
    );
    let verdict = dealer.verify(&otherwise, &[]);
    assert_eq!((verdict.headline, code(&verdict)), (Headline::DoNotRely, Some("pages-differ")));
}

#[test]
fn a_report_that_fails_is_refused_though_the_dealer_signs_that_it_was_sound() {
    let dealer = Dealer::set_up();
    dealer.state(&SEALED.report, "owen", false).unwrap();
    let mut changed = std::fs::read(&SEALED.report).unwrap();
    let middle = changed.len() / 2;
    changed[middle] ^= 1;
    std::fs::write(dealer.at("changed-report.pdf"), changed).unwrap();
    let verdict = dealer.verify(&seal_otherwise(&dealer, &dealer.at("changed-report.pdf"), |_| (), |_| ()), &[]);
    assert_eq!((verdict.headline, code(&verdict)), (Headline::DoNotRely, Some("report-fails")));
}

#[test]
fn a_statement_inside_a_statement_is_refused() {
    let dealer = Dealer::set_up();
    dealer.state(&SEALED.report, "owen", false).unwrap();
    let first = dealer.at("first.pdf");
    std::fs::copy(dealer.at("statement.pdf"), &first).unwrap();
    let verdict = dealer.verify(&seal_otherwise(&dealer, &first, |_| (), |_| ()), &[]);
    assert_eq!((verdict.headline, code(&verdict)), (Headline::DoNotRely, Some("report-fails")));
    assert_eq!(code(verdict.rests_on.as_ref().unwrap()), Some("statement-inside"));
}
