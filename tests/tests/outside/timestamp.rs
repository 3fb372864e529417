//! Timestamps of RFC 3161 in the room of a sealed report: an authority of OpenSSL answers our question, and pyHanko judges the
//! file with the token inside.

use std::path::Path;
use std::process::Command;

use rimside_tests::{FixedWorld, tool};
use seal::{
    check::check_file,
    sealing::{SealError, add_timestamp, ask_for_timestamp},
    trust::Trust,
};
use serde_json::Value;

use crate::SEALED;

const CONFIGURATION: &str = "\
[req]
distinguished_name = name
[name]
[ca]
basicConstraints = critical, CA:TRUE
keyUsage = critical, keyCertSign, cRLSign
subjectKeyIdentifier = hash
[stamping]
basicConstraints = critical, CA:FALSE
keyUsage = critical, digitalSignature
extendedKeyUsage = critical, timeStamping
subjectKeyIdentifier = hash
authorityKeyIdentifier = keyid
[any]
basicConstraints = critical, CA:FALSE
[soft]
extendedKeyUsage = timeStamping
[both]
extendedKeyUsage = critical, timeStamping, codeSigning
[stamping-ca]
basicConstraints = critical, CA:TRUE
keyUsage = critical, digitalSignature, keyCertSign
extendedKeyUsage = critical, timeStamping
[odd]
extendedKeyUsage = critical, timeStamping
1.2.3.4 = critical, DER:0500
[tsa]
default_tsa = here
[here]
serial = serial
signer_cert = tsa.pem
certs = ca.pem
signer_key = tsa.key
signer_digest = sha256
default_policy = 1.2.3.4.1
digests = sha512
ess_cert_id_alg = sha256
";

pub(crate) fn openssl(folder: &Path, arguments: &str) {
    let mut arguments: Vec<&str> = arguments.split(' ').collect();
    arguments.splice(1..1, ["-config", "ts.cnf"]);
    let run =
        Command::new(tool("openssl/apps/openssl").unwrap()).args(&arguments).current_dir(folder).output().unwrap();
    assert!(run.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&run.stderr));
}

/// An authority with keys of this kind.
pub(crate) fn found(keys: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("ts.cnf"), CONFIGURATION).unwrap();
    std::fs::write(folder.path().join("serial"), "01\n").unwrap();
    let make = |what: &str| openssl(folder.path(), &format!("req -x509 {keys} -nodes -days 30 {what}"));
    make("-keyout ca.key -out ca.pem -subj /CN=Stamps-root -extensions ca");
    make("-keyout tsa.key -out tsa.pem -subj /CN=Stamps -extensions stamping -CA ca.pem -CAkey ca.key");
    folder
}

pub(crate) fn answer(folder: &Path, question: &[u8]) -> Vec<u8> {
    std::fs::write(folder.join("question.tsq"), question).unwrap();
    openssl(folder, "ts -reply -queryfile question.tsq -out answer.tsr");
    std::fs::read(folder.join("answer.tsr")).unwrap()
}

const PYHANKO: &str = r"
import sys, json, logging
logging.disable(logging.CRITICAL)
from datetime import datetime
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.validation import validate_pdf_signature
from pyhanko.sign.validation.settings import KeyUsageConstraints
from pyhanko.keys import load_cert_from_pemder
from pyhanko_certvalidator import ValidationContext

root, stamps = load_cert_from_pemder(sys.argv[2]), load_cert_from_pemder(sys.argv[4])
with open(sys.argv[1], 'rb') as file:
    [signature] = PdfFileReader(file, strict=True).embedded_signatures
    status = validate_pdf_signature(
        signature,
        ValidationContext(trust_roots=[root], allow_fetching=False, moment=datetime.fromisoformat(sys.argv[3])),
        ts_validation_context=ValidationContext(trust_roots=[stamps], allow_fetching=False),
        key_usage_settings=KeyUsageConstraints(key_usage={'non_repudiation'}, extd_key_usage=None),
    )
stamp = status.timestamp_validity
print(json.dumps({
    'intact': status.intact, 'trusted': status.trusted, 'coverage': status.coverage.name,
    'stamp': [stamp.intact, stamp.valid, stamp.trusted],
}))
";

#[test]
fn a_timestamp_of_an_authority_is_valid_to_pyhanko_and_leaves_the_file_whole() {
    let sealed = std::fs::read(&SEALED.report).unwrap();
    for keys in ["-newkey rsa:2048", "-newkey ec -pkeyopt ec_paramgen_curve:P-256"] {
        let authority = found(keys);
        let answered = answer(authority.path(), &ask_for_timestamp(&sealed).unwrap());
        let stamped = add_timestamp(&sealed, &answered).unwrap();
        assert_eq!(stamped.len(), sealed.len(), "{keys}");
        let file = authority.path().join("stamped.pdf");
        std::fs::write(&file, &stamped).unwrap();
        let run = Command::new(tool("venv/bin/python").unwrap())
            .args(["-c", PYHANKO])
            .args([&file, &SEALED.root])
            .arg(FixedWorld::NOW)
            .arg(authority.path().join("ca.pem"))
            .output()
            .unwrap();
        assert!(run.status.success(), "{keys}: {}", String::from_utf8_lossy(&run.stderr));
        let said: Value = serde_json::from_slice(&run.stdout).unwrap();
        assert_eq!(said["stamp"], serde_json::json!([true, true, true]), "{keys}: {said}");
        assert_eq!((&said["intact"], &said["trusted"]), (&true.into(), &true.into()), "{keys}: {said}");
        assert_eq!(said["coverage"], "ENTIRE_FILE", "{keys}");
        // What we say of it: it belongs to this signature, and who issued it was not judged.
        let ours = check_file(&stamped, &Trust::at(FixedWorld::NOW.parse().unwrap()));
        assert!(ours.unchanged.passed().is_some());
        assert_eq!(ours.remarks[0].code, "timestamp-not-checked", "{keys}");
        assert!(matches!(add_timestamp(&stamped, &answered), Err(SealError::Attach(_))), "a second one is refused");
    }
}

#[test]
fn an_answer_to_another_question_is_refused() {
    let sealed = std::fs::read(&SEALED.report).unwrap();
    let authority = found("-newkey rsa:2048");
    let other = seal::timestamp::ask_for_token(b"another signature").unwrap();
    let refused = add_timestamp(&sealed, &answer(authority.path(), &other));
    assert!(matches!(refused, Err(SealError::OtherTimestamp(_))), "{refused:?}");
    // A digest that this authority does not take: SHA-512 becomes SHA-384.
    let mut foreign = ask_for_timestamp(&sealed).unwrap();
    let place = foreign.windows(2).position(|bytes| bytes == [0x02, 0x03]).unwrap();
    foreign[place + 1] = 2;
    let refused = add_timestamp(&sealed, &answer(authority.path(), &foreign));
    assert!(matches!(refused, Err(SealError::Answer(_))), "{refused:?}");
}

#[test]
fn what_an_authority_answers_is_put_in_at_once_and_what_it_does_not_leaves_the_report_alone() {
    let authority = found("-newkey rsa:2048");
    let file = authority.path().join("report.pdf");
    std::fs::copy(&SEALED.report, &file).unwrap();
    let sealed = std::fs::read(&file).unwrap();
    let away = |_: &[u8]| Err("the authority was not reached".to_owned());
    let refused = api::fetch_timestamp(&api::NativeWorld, &file, &away).unwrap_err();
    assert_eq!((api::Explained::code(&refused), std::fs::read(&file).unwrap()), ("timestamp-not-given", sealed));
    let asks = |question: &[u8]| Ok(answer(authority.path(), question));
    api::fetch_timestamp(&api::NativeWorld, &file, &asks).unwrap();
    assert!(seal::sealing::has_timestamp(&std::fs::read(&file).unwrap()));
    // A second one is not even asked for.
    let refused = api::fetch_timestamp(&api::NativeWorld, &file, &|_: &[u8]| panic!("asked again")).unwrap_err();
    assert_eq!(api::Explained::code(&refused), "timestamp-not-attached");
}
