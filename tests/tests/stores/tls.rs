//! A database that lets nobody in without TLS.

use std::{fs, path::Path};

use rcgen::CertifiedKey;
use server::PostgresRows;

use crate::place::{Place, another_process};

const CHILD: &str = "RIMSIDE_TLS_CHILD";

/// Not a test of its own: connects to the address in its variable and says how it went. Whom it trusts is a matter of its
/// environment, which is why it is another process.
#[test]
fn connects() {
    let Ok(address) = std::env::var(CHILD) else { return };
    let said = PostgresRows::connect(&address).map_or_else(|error| error.to_string(), |_| "in".to_owned());
    println!("said: {said}");
}

/// What a process says that trusts whoever this file vouches for.
fn connect(address: &str, trusted: &Path) -> String {
    let mut process = another_process("tls::connects");
    let told = process.env(CHILD, address).env("SSL_CERT_FILE", trusted).output().unwrap();
    let text = String::from_utf8(told.stdout).unwrap();
    let said = text.lines().find_map(|line| line.split_once("said: "));
    said.unwrap_or_else(|| panic!("{text} {}", String::from_utf8_lossy(&told.stderr))).1.to_owned()
}

#[test]
fn a_database_that_demands_tls_is_reached_where_somebody_vouches_for_it() {
    let mut place = Place::start();
    let make = || rcgen::generate_simple_self_signed(["localhost".to_owned()]).unwrap();
    let CertifiedKey { cert, signing_key } = make();
    place.postgresql.demand_tls(&cert.pem(), &signing_key.serialize_pem()).unwrap();
    let folder = tempfile::tempdir().unwrap();
    let [own, other] = ["own.pem", "other.pem"].map(|name| folder.path().join(name));
    fs::write(&own, cert.pem()).unwrap();
    fs::write(&other, make().cert.pem()).unwrap();

    let by_name = place.postgresql.address().replace("127.0.0.1", "localhost");
    let encrypted = format!("{by_name}?sslmode=require");
    assert_eq!(connect(&encrypted, &own), "in");
    // Nobody vouches for it; or for another name; or nothing is encrypted, which it refuses itself.
    let refused = connect(&encrypted, &other);
    assert!(refused.contains("certificate"), "{refused}");
    let refused = connect(&format!("{}?sslmode=require", place.postgresql.address()), &own);
    assert!(refused.contains("certificate"), "{refused}");
    let refused = connect(&format!("{by_name}?sslmode=disable"), &own);
    assert!(refused.contains("no encryption"), "{refused}");
}
