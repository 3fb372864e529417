//! Who issued a timestamp, judged by the authority that a reader names. OpenSSL makes the tokens: its `ts` as an authority does,
//! its `cms` for what `ts` does not sign with, and for what no authority would sign.

use std::{
    fs,
    path::{Path, PathBuf},
};

use api::World as _;
use rimside_tests::FixedWorld;
use seal::{
    check::check_file,
    sealing::{add_token, ask_for_timestamp, log_entry},
    timestamp::{AuthorityCertificate, read_answer},
    trust::Trust,
    verdict::{Check, Proof, SealReport},
};

use crate::{
    SEALED,
    timestamp::{answer, found, openssl},
};

/// Later than any token that is made here.
const LATER: &str = "2100-01-01T00:00:00Z";

/// An authority of `keys`, and its token over the sealed report.
fn stamped(keys: &str) -> (tempfile::TempDir, Vec<u8>) {
    let authority = found(keys);
    let answered = answer(authority.path(), &ask_for_timestamp(&sealed()).unwrap());
    let token = read_answer(&answered).unwrap();
    (authority, token)
}

fn sealed() -> Vec<u8> {
    fs::read(&SEALED.report).unwrap()
}

fn certificate(file: &Path) -> AuthorityCertificate {
    // OpenSSL writes its words before the block in some cases; a reader's file is the block.
    AuthorityCertificate::parse_pem(&fs::read_to_string(file).unwrap()).unwrap()
}

/// What a reader who names these is told of the report with this token.
fn judge(token: &[u8], authorities: &[PathBuf], at: &str) -> SealReport {
    let authorities = authorities.iter().map(|file| certificate(file)).collect();
    let trust = Trust { authorities, ..Trust::at(at.parse().unwrap()) };
    check_file(&add_token(&sealed(), token).unwrap(), &trust)
}

/// Why the token was refused.
fn why(report: &SealReport) -> String {
    match &report.since_when {
        Check::Failed(finding) if finding.code == "timestamp-refused" => finding.reason.clone(),
        other => panic!("got {other:?}, expected a token that is refused"),
    }
}

fn code(report: &SealReport) -> &'static str {
    report.since_when.code().unwrap_or("passed")
}

/// The content of a token, so that another may sign it: `TSTInfo` in DER, in a file of the folder.
fn keep_info(folder: &Path, token: &[u8]) {
    fs::write(folder.join("token.der"), token).unwrap();
    openssl(folder, "cms -verify -noverify -inform DER -in token.der -out info.der");
}

/// The same content, signed with this certificate and key.
fn sign(folder: &Path, signer: &str, more: &str) -> Vec<u8> {
    let certificate = format!(
        "cms -sign -binary -nodetach -nosmimecap -outform DER -in info.der -out other.der -signer {signer}.pem"
    );
    openssl(folder, &format!("{certificate} -inkey {signer}.key -econtent_type 1.2.840.113549.1.9.16.1.4 {more}"));
    fs::read(folder.join("other.der")).unwrap()
}

/// A certificate that is good for years around the token's time, which was before it was made, unless `what` says otherwise.
fn certify(folder: &Path, name: &str, keys: &str, what: &str) {
    let years =
        if what.contains("-not_before") { "" } else { " -not_before 20200101000000Z -not_after 20900101000000Z" };
    let what = format!("{what}{years}");
    openssl(folder, &format!("req -x509 {keys} -nodes -keyout {name}.key -out {name}.pem -subj /CN={name} {what}"));
}

const BY_CA: &str = "-CA ca.pem -CAkey ca.key";
const RSA: &str = "-newkey rsa:2048";
/// What is said of a certificate that is for something else, or for more.
const FOREIGN: &str = "not one for timestamps alone";

#[test]
fn a_token_of_an_authority_that_the_reader_names_proves_the_time() {
    for keys in [RSA, "-newkey ec -pkeyopt ec_paramgen_curve:P-256", "-newkey ec -pkeyopt ec_paramgen_curve:P-384"] {
        let (authority, token) = stamped(keys);
        let at = |file: &str| authority.path().join(file);
        // By the root that it stands under, or by its own certificate.
        for own in ["ca.pem", "tsa.pem"] {
            let report = judge(&token, &[at(own)], LATER);
            let since = report.since_when.passed().unwrap_or_else(|| panic!("{keys} {own}: {:?}", report.since_when));
            assert_eq!(since.proof, Proof::Authority { name: "CN=Stamps".to_owned() }, "{keys}");
            let now = api::NativeWorld.now();
            assert!((now - since.at).num_minutes().abs() < 60, "{keys}: {}", since.at);
            assert!(report.remarks.is_empty(), "{keys}: {:?}", report.remarks);
        }
        // Nobody named, or somebody else: the signer's own clock remains.
        let (other, _) = stamped(keys);
        let report = judge(&token, &[other.path().join("tsa.pem")], LATER);
        assert_eq!((code(&report), report.remarks[0].code), ("no-proof-of-time", "timestamp-authority-unknown"));
        let report = judge(&token, &[], LATER);
        assert_eq!((code(&report), report.remarks[0].code), ("no-proof-of-time", "timestamp-not-checked"));
        assert_eq!(code(&judge(&token, &[at("ca.pem")], "2020-01-01T00:00:00Z")), "timestamp-from-the-future");
        // A reader's clock may be ten minutes behind.
        let stamped_at = judge(&token, &[at("ca.pem")], LATER).since_when.passed().unwrap().at;
        for (minutes, expected) in [(9, "passed"), (11, "timestamp-from-the-future")] {
            let behind = (stamped_at - chrono::TimeDelta::minutes(minutes)).to_rfc3339();
            assert_eq!(code(&judge(&token, &[at("ca.pem")], &behind)), expected, "{minutes} minutes");
        }
    }
}

#[test]
fn other_digests_paddings_and_keys_of_an_authority_are_taken() {
    let (authority, token) = stamped(RSA);
    let folder = authority.path();
    keep_info(folder, &token);
    certify(folder, "edwards", "-newkey ed25519", &format!("-extensions stamping {BY_CA}"));
    certify(folder, "large", "-newkey ec -pkeyopt ec_paramgen_curve:P-384", &format!("-extensions stamping {BY_CA}"));
    certify(folder, "small", "-newkey ec -pkeyopt ec_paramgen_curve:P-256", &format!("-extensions stamping {BY_CA}"));
    // A key that is for PSS alone, and certificates that the authority signed with other digests.
    certify(folder, "pss", "-newkey rsa-pss -pkeyopt rsa_keygen_bits:2048", &format!("-extensions stamping {BY_CA}"));
    let bound = "-newkey rsa-pss -pkeyopt rsa_keygen_bits:2048 -pkeyopt rsa_pss_keygen_md:sha256 \
         -pkeyopt rsa_pss_keygen_mgf1_md:sha256 -pkeyopt rsa_pss_keygen_saltlen:32";
    certify(folder, "bound", bound, &format!("-extensions stamping {BY_CA}"));
    certify(folder, "by384", RSA, &format!("-sha384 -extensions stamping {BY_CA}"));
    certify(folder, "by512", RSA, &format!("-sha512 -extensions stamping {BY_CA}"));
    let pss = |digest: &str| format!("-cades -md {digest} -keyopt rsa_padding_mode:pss");
    for (signer, more) in [
        ("pss", pss("sha256")),
        ("bound", pss("sha256")),
        ("by384", "-cades -md sha256".to_owned()),
        ("by512", "-cades -md sha256".to_owned()),
        ("small", "-cades -md sha256".to_owned()),
        ("large", "-cades -md sha384".to_owned()),
        ("tsa", "-cades -md sha256".to_owned()),
        ("tsa", "-cades -md sha384".to_owned()),
        ("tsa", "-cades -md sha512".to_owned()),
        ("tsa", pss("sha256")),
        ("tsa", pss("sha384")),
        ("tsa", pss("sha512")),
        ("tsa", format!("{} -keyopt rsa_pss_saltlen:0", pss("sha256"))),
        ("tsa", "-cades -md sha256 -keyid".to_owned()),
        ("edwards", "-cades -md sha512".to_owned()),
        ("large", "-cades -md sha256".to_owned()),
        ("large", "-cades -md sha512".to_owned()),
    ] {
        let mut token = sign(folder, signer, &more);
        let report = judge(&token, &[folder.join("ca.pem")], LATER);
        assert_eq!(code(&report), "passed", "{signer} {more}: {:?}", report.since_when);
        // The signature stands last.
        *token.last_mut().unwrap() ^= 0x04;
        let said = why(&judge(&token, &[folder.join("ca.pem")], LATER));
        assert!(said.contains("its signature does not stand"), "{signer} {more}: {said}");
    }
    for (more, reason) in [
        ("-cades -md sha1", "another digest than SHA-2"),
        ("-cades -md sha224", "another digest than SHA-2"),
        ("-cades -md sha256 -keyopt rsa_padding_mode:pss -keyopt rsa_mgf1_md:sha1", "of a kind that is not taken here"),
        (
            "-cades -md sha256 -keyopt rsa_padding_mode:pss -keyopt rsa_mgf1_md:sha384",
            "of a kind that is not taken here",
        ),
    ] {
        let said = why(&judge(&sign(folder, "tsa", more), &[folder.join("ca.pem")], LATER));
        assert!(said.contains(reason), "{more}: {said}");
    }
    certify(folder, "short", "-newkey rsa:1024", &format!("-extensions stamping {BY_CA}"));
    let said = why(&judge(&sign(folder, "short", "-cades -md sha256"), &[folder.join("ca.pem")], LATER));
    assert!(said.contains("of a kind that is not taken here"), "{said}");
}

#[test]
fn an_authority_of_curves_may_sign_its_certificates_with_other_digests() {
    let (authority, token) = stamped("-newkey ec -pkeyopt ec_paramgen_curve:P-384");
    let folder = authority.path();
    keep_info(folder, &token);
    for digest in ["sha256", "sha384", "sha512"] {
        certify(folder, digest, RSA, &format!("-{digest} -extensions stamping {BY_CA}"));
        let report = judge(&sign(folder, digest, "-cades -md sha256"), &[folder.join("ca.pem")], LATER);
        assert_eq!(code(&report), "passed", "{digest}: {:?}", report.since_when);
    }
}

#[test]
fn who_is_no_authority_for_timestamps_proves_nothing() {
    let (authority, token) = stamped(RSA);
    let folder = authority.path();
    keep_info(folder, &token);
    let past = "-not_before 20200101000000Z -not_after 20210101000000Z";
    let coming = "-not_before 20900101000000Z -not_after 20950101000000Z";
    for (name, reason, what) in [
        ("none", FOREIGN, format!("-extensions any {BY_CA}")),
        ("soft", FOREIGN, format!("-extensions soft {BY_CA}")),
        ("both", FOREIGN, format!("-extensions both {BY_CA}")),
        ("stamping-ca", FOREIGN, format!("-extensions stamping-ca {BY_CA}")),
        ("odd", "says something that is not understood here", format!("-extensions odd {BY_CA}")),
        ("past", "not valid at that time", format!("-extensions stamping {past} {BY_CA}")),
        ("coming", "not valid at that time", format!("-extensions stamping {coming} {BY_CA}")),
        ("by-a-signer", "not that of an authority", "-extensions stamping -CA tsa.pem -CAkey tsa.key".to_owned()),
    ] {
        certify(folder, name, RSA, &what);
        let token = sign(folder, name, "-cades -md sha256 -certfile tsa.pem");
        let said = why(&judge(&token, &[folder.join("ca.pem")], LATER));
        assert!(said.contains(reason), "{name}: {said}");
    }
    // Without the attribute that binds the certificate.
    let said = why(&judge(&sign(folder, "tsa", "-md sha256"), &[folder.join("ca.pem")], LATER));
    assert!(said.contains("names another certificate"), "{said}");
    // An authority of the same name with a key of its own: what it signs is not the reader's authority's.
    let thief = found(RSA);
    keep_info(thief.path(), &token);
    fs::copy(folder.join("tsa.pem"), thief.path().join("real.pem")).unwrap();
    certify(thief.path(), "thief", RSA, &format!("-extensions stamping {BY_CA}"));
    let stolen = sign(thief.path(), "thief", "-cades -md sha256");
    let said = why(&judge(&stolen, &[folder.join("ca.pem")], LATER));
    assert!(said.contains("was not signed by the authority that it names"), "{said}");
    // The real certificate in the place of the thief's: the numbers differ, so that it is nobody's signature.
    let swapped = sign(thief.path(), "thief", "-cades -md sha256 -nocerts -certfile real.pem");
    let report = judge(&swapped, &[folder.join("ca.pem")], LATER);
    assert_ne!(code(&report), "passed", "{report:?}");
    // Two signers, of whom one is real.
    openssl(
        folder,
        "cms -resign -binary -nodetach -inform DER -in token.der -outform DER -out two.der -signer none.pem -inkey none.key",
    );
    let two = fs::read(folder.join("two.der")).unwrap();
    assert_eq!(code(&judge(&two, &[folder.join("ca.pem")], LATER)), "timestamp-malformed");
}

#[test]
fn no_changed_byte_of_a_token_proves_a_time() {
    let (authority, token) = stamped("-newkey ec -pkeyopt ec_paramgen_curve:P-256");
    let own = [authority.path().join("ca.pem")];
    let sealed = sealed();
    let authorities: Vec<_> = own.iter().map(|file| certificate(file)).collect();
    let trust = Trust { authorities, ..Trust::at(LATER.parse().unwrap()) };
    let real = judge(&token, &own, LATER).since_when;
    for place in (0..token.len()).step_by(3) {
        let mut changed = token.clone();
        changed[place] ^= 0x04;
        let Ok(file) = add_token(&sealed, &changed) else { continue };
        let said = check_file(&file, &trust).since_when;
        // What nobody signed, such as the list of digests used, may change nothing of what is said.
        assert!(said.passed().is_none() || said == real, "byte {place}: {said:?}");
    }
}

#[test]
fn a_timestamp_never_makes_a_report_younger() {
    use seal::{
        key::PrivateKey,
        receipt::{LogKey, Receipt},
        sealing::add_receipt,
        trust::FirmLog,
    };
    let (authority, token) = stamped(RSA);
    let log = PrivateKey::from_seed(&[7; 32]);
    let root = seal::certificate::Certificate::parse_pem(&fs::read_to_string(&SEALED.root).unwrap()).unwrap();
    for (entered, is_logged) in [(FixedWorld::NOW, true), ("2099-01-01T00:00:00Z", false)] {
        let entry = log_entry(&sealed(), entered.parse().unwrap()).unwrap();
        let receipt = Receipt::issue_first(entry, "log.example/firm", &log);
        let file = add_token(&add_receipt(&sealed(), &receipt).unwrap(), &token).unwrap();
        let key = LogKey::new("log.example/firm", log.public()).unwrap();
        let trust = Trust {
            authorities: vec![certificate(&authority.path().join("ca.pem"))],
            logs: vec![FirmLog { root: root.fingerprint(), key, witnesses: None }],
            ..Trust::at(LATER.parse().unwrap())
        };
        let report = check_file(&file, &trust);
        let since = report.since_when.passed().unwrap();
        assert_eq!(matches!(since.proof, Proof::Log { .. }), is_logged, "{since:?}");
        assert_eq!(report.remarks.iter().any(|remark| remark.code == "timestamp-proven"), is_logged);
    }
}
