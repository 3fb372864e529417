//! The office asks an authority for a timestamp of each report that it took; OpenSSL is the authority.

use std::{
    fs,
    path::Path,
    process::Command,
    sync::{Arc, Mutex},
};

use rimside_tests::tool;
use seal::{
    certificate::Role, check::check_file, sealing::has_timestamp, timestamp::AuthorityCertificate, trust::Trust,
    verdict::Proof,
};
use serde_json::json;
use server::{AskAuthority, AuthorityError, Shelf as _, Stamped, Stamper, papers::timestamp_path};

use crate::desk::{Desk, Here, Phone, firm};

const CONFIGURATION: &str = "\
[req]
distinguished_name = name
[name]
[stamping]
basicConstraints = critical, CA:FALSE
keyUsage = critical, digitalSignature
extendedKeyUsage = critical, timeStamping
[tsa]
default_tsa = here
[here]
serial = serial
signer_cert = tsa.pem
signer_key = tsa.key
signer_digest = sha256
default_policy = 1.2.3.4.1
digests = sha512
ess_cert_id_alg = sha256
";

struct Authority {
    folder: tempfile::TempDir,
    is_away: Mutex<bool>,
    asked: Mutex<usize>,
}

impl Authority {
    fn found() -> Self {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("ts.cnf"), CONFIGURATION).unwrap();
        fs::write(folder.path().join("serial"), "01\n").unwrap();
        let made = "req -x509 -newkey rsa:2048 -nodes -days 30 -keyout tsa.key -out tsa.pem -subj /CN=Stamps -extensions stamping";
        openssl(folder.path(), made);
        Self { folder, is_away: Mutex::new(false), asked: Mutex::new(0) }
    }

    fn go_away(&self, is_away: bool) {
        *self.is_away.lock().unwrap() = is_away;
    }

    fn asked(&self) -> usize {
        std::mem::take(&mut *self.asked.lock().unwrap())
    }
}

fn openssl(folder: &Path, arguments: &str) {
    let mut arguments: Vec<&str> = arguments.split(' ').collect();
    arguments.splice(1..1, ["-config", "ts.cnf"]);
    let run =
        Command::new(tool("openssl/apps/openssl").unwrap()).args(&arguments).current_dir(folder).output().unwrap();
    assert!(run.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&run.stderr));
}

impl AskAuthority for Authority {
    fn ask(&self, question: &[u8]) -> Result<Vec<u8>, AuthorityError> {
        *self.asked.lock().unwrap() += 1;
        if *self.is_away.lock().unwrap() {
            return Err(AuthorityError::Status { got: 503 });
        }
        let folder = self.folder.path();
        fs::write(folder.join("question.tsq"), question).unwrap();
        openssl(folder, "ts -reply -queryfile question.tsq -out answer.tsr");
        Ok(fs::read(folder.join("answer.tsr")).unwrap())
    }
}

#[test]
fn each_report_that_the_office_took_gets_a_timestamp_once_for_whoever_has_a_link_and_for_the_device() {
    let (desk, authority) = (Desk::open(), Arc::new(Authority::found()));
    let stamper = || Stamper::new(Arc::clone(&desk.office), Arc::clone(&authority) as _);
    let mut first = stamper();
    assert_eq!(first.step().unwrap(), Stamped::All, "there is no report yet");
    let ines = Phone::let_in(&desk, "Ines's phone", Role::Inspector);
    ines.be_certified("Ines Okafor-Lind", Role::Inspector, "ines");
    let sealed = ines.inspect_and_seal(0);
    let identity = sealed["identity"].as_str().unwrap();
    ines.sync();
    // An authority that is away is left alone for a while, and longer each time.
    authority.go_away(true);
    let Stamped::Rests { until, why: Some(why) } = first.step().unwrap() else { panic!("it rests") };
    assert!(why.contains("503"), "{why}");
    assert!(until > server::OfficeWorld::now(&Here));
    assert_eq!(first.step().unwrap(), Stamped::Rests { until, why: None });
    assert_eq!(authority.asked(), 1);
    // An office that begins anew asks at once; what is stamped is stamped.
    authority.go_away(false);
    let mut second = stamper();
    assert_eq!((second.step().unwrap(), second.step().unwrap()), (Stamped::One, Stamped::All));
    assert_eq!((stamper().step().unwrap(), authority.asked()), (Stamped::All, 1));

    let path = timestamp_path(&identity.parse().unwrap());
    let token = desk.shelf.read(&firm(), &path).unwrap().unwrap();
    assert_eq!(desk.get(&format!("log/firm/{path}")), (200, token), "everybody may read it");
    let make =
        json!({"errand": "make_link", "shows": format!("report:{identity}"), "label": "Amara Quill", "days": 14});
    let secret = ines.errand(&make).unwrap()["link"]["secret"].as_str().unwrap().to_owned();
    let (_, pdf) = desk.get(&format!("link/{secret}/report.pdf"));
    let brought = ines.report_bytes(identity);
    assert!(has_timestamp(&pdf) && !has_timestamp(&brought) && pdf.len() == brought.len());
    let own = AuthorityCertificate::parse_pem(&fs::read_to_string(authority.folder.path().join("tsa.pem")).unwrap());
    let trust = Trust { authorities: vec![own.unwrap()], ..Trust::at("2100-01-01T00:00:00Z".parse().unwrap()) };
    let report = check_file(&pdf, &trust);
    assert_eq!(report.since_when.passed().unwrap().proof, Proof::Authority { name: "CN=Stamps".to_owned() });

    // The device that sealed it has the same file from its next sync on.
    ines.sync();
    assert_eq!(ines.report_bytes(identity), pdf);
    // What lies there for another report, and is a token of this one, gets into no file.
    let other = ines.inspect_and_seal(1);
    let other = other["identity"].as_str().unwrap();
    ines.sync();
    let before = ines.report_bytes(other);
    let token = desk.shelf.read(&firm(), &path).unwrap().unwrap();
    desk.shelf.put(&firm(), &timestamp_path(&other.parse().unwrap()), &token).unwrap();
    ines.sync();
    assert_eq!(ines.report_bytes(other), before);
    ines.sync();
    assert_eq!(ines.report_bytes(identity), pdf);
}
