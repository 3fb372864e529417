//! Signatures over the one report, timestamps over its signature, certificates.

use chrono::{DateTime, Utc};
use seal::{
    certificate::{Certificate, CertificateAsked, Person, Role},
    digest::{ReportIdentity, Sha256Digest},
    key::PrivateKey,
    revocation::{Reason, Revocation, RevocationList},
    sealing::lone_signature,
    signature::{Form, SignedMessage, Signer, attach_receipt, attach_timestamp, sign_attached, sign_detached},
    statement::{StatementKind, sign_statement},
};

use super::{
    Seeds,
    der::{attribute, oid, parts, sequence, set, wrap},
    fixture::{FixedRng, TestFirm},
    with,
};

const SHA_256: &str = "608648016503040201";
const SHA_512: &str = "608648016503040203";
const ED25519: &str = "2b6570";
const SIGNED_DATA: &str = "2a864886f70d010702";
/// id-ct-TSTInfo (RFC 3161 §2.4.2).
const TST_INFO: &str = "2a864886f70d0109100104";

pub fn signatures(signed: &[u8], token: &[u8], signer: &Signer) -> Seeds {
    let lone = lone_signature(signed).unwrap();
    let at = |arcs: &str| find(&lone, &hex::decode(arcs).unwrap());
    let flip = |place: usize| with(&lone, place, &[lone[place] ^ 1]);
    let receipted = attach_receipt(&lone, "a receipt").unwrap();
    vec![
        ("valid-alone", lone.clone()),
        ("valid-with-a-receipt", receipted.clone()),
        ("valid-with-both", attach_timestamp(&receipted, token).unwrap()),
        ("content-inside", sign_attached(b"inside", signer).unwrap()),
        ("other-report", sign_detached(&[7; 64], signer).map(|other| with(&other, other.len() - 9, &[0])).unwrap()),
        ("other-value", flip(lone.len() - 10)),
        ("other-certificate", flip(find(&lone, b"Maja Holt"))),
        ("other-digest-algorithm", flip(at(SHA_512) + 8)),
        ("other-algorithm", flip(lone.len() - 68)),
        ("other-kind", flip(at(SIGNED_DATA) + 8)),
        ("indefinite-length", [&[0x30, 0x80][..], &lone[4..], &[0, 0]].concat()),
        ("endless", with(&lone, 0, &[0x30, 0x84, 0xff, 0xff, 0xff, 0xff])),
        ("cut", lone[..lone.len() - 1].to_vec()),
        ("trailing", [&lone[..], &[0]].concat()),
        ("sequence-alone", vec![0x30, 0]),
        ("empty", Vec::new()),
    ]
}

/// A token that the root's own authority for timestamps gives over the report's signature.
pub fn token(firm: &TestFirm, signed: &[u8], at: DateTime<Utc>) -> Vec<u8> {
    let key = PrivateKey::generate(&mut FixedRng::new("authority"));
    let certificate = authority(firm, &key);
    stamp(&info(&value(signed), at), &certificate, &key)
}

pub fn timestamps(firm: &TestFirm, signed: &[u8], at: DateTime<Utc>) -> Seeds {
    let (value, token) = (value(signed), token(firm, signed, at));
    let issuer = firm.issuer.as_der();
    let stranger = PrivateKey::generate(&mut FixedRng::new("stranger"));
    let granted = |status: u8, rest: &[u8]| sequence(&[&sequence(&[&wrap(2, &[&[status]])]), rest]);
    let flip = |place: usize| with(&token, place, &[token[place] ^ 1]);
    vec![
        ("valid-token", token.clone()),
        ("valid-answer", granted(0, &token)),
        ("valid-by-an-issuer", stamp(&info(&value, at), issuer, &firm.issuer_key)),
        ("valid-by-a-stranger", stamp(&info(&value, at), &authority(firm, &stranger), &firm.issuer_key)),
        ("valid-of-another-kind", flip(find(&token, &hex::decode(SIGNED_DATA).unwrap()) + 8)),
        ("other-signature", stamp(&info(b"another", at), issuer, &firm.issuer_key)),
        ("refused", granted(2, &[])),
        ("refused-with-a-token", granted(2, &token)),
        ("granted-nothing", granted(0, &[])),
        ("two-tokens", granted(0, &[&token[..], &token].concat())),
        ("other-content", flip(find(&token, &hex::decode(TST_INFO).unwrap()) + 10)),
        ("other-imprint", flip(find(&token, Sha256Digest::of(&value).as_bytes()))),
        ("indefinite-length", [&[0x30, 0x80][..], &token[4..], &[0, 0]].concat()),
        ("cut", token[..token.len() - 1].to_vec()),
        ("trailing", [&token[..], &[0]].concat()),
        ("sequence-alone", vec![0x30, 0]),
        ("empty", Vec::new()),
    ]
}

fn find(bytes: &[u8], what: &[u8]) -> usize {
    bytes.windows(what.len()).position(|window| window == what).unwrap()
}

fn value(signed: &[u8]) -> Vec<u8> {
    SignedMessage::parse(&lone_signature(signed).unwrap(), Form::Detached).unwrap().signature().to_vec()
}

/// `TSTInfo` of RFC 3161 §2.4.2 over a signature value.
fn info(value: &[u8], at: DateTime<Utc>) -> Vec<u8> {
    let imprint = sequence(&[&sequence(&[&oid(SHA_256)]), &wrap(4, &[Sha256Digest::of(value).as_bytes()])]);
    let at = at.format("%Y%m%d%H%M%SZ").to_string();
    sequence(&[&wrap(2, &[&[1]]), &oid("2b0601"), &imprint, &wrap(2, &[&[42]]), &wrap(0x18, &[at.as_bytes()])])
}

/// The token around it (RFC 5652 §5), with the certificate that it names.
fn stamp(info: &[u8], certificate: &[u8], key: &PrivateKey) -> Vec<u8> {
    let body = parts(parts(certificate)[0]);
    let (serial, issuer) = (body[1], body[3]);
    let digest = |bytes: &[u8]| wrap(4, &[Sha256Digest::of(bytes).as_bytes()]);
    let attributes = [
        attribute("2a864886f70d010903", &[oid(TST_INFO)]),
        attribute("2a864886f70d010904", &[digest(info)]),
        attribute("2a864886f70d010910022f", &[sequence(&[&sequence(&[&sequence(&[&digest(certificate)])])])]),
    ];
    let (one, three, sha_256) = (wrap(2, &[&[1]]), wrap(2, &[&[3]]), sequence(&[&oid(SHA_256)]));
    let signer = sequence(&[
        &one,
        &sequence(&[issuer, serial]),
        &sha_256,
        &set(0xa0, &attributes),
        &sequence(&[&oid(ED25519)]),
        &wrap(4, &[&key.sign(&set(0x31, &attributes))]),
    ]);
    let content = sequence(&[&oid(TST_INFO), &wrap(0xa0, &[&wrap(4, &[info])])]);
    let data =
        sequence(&[&three, &wrap(0x31, &[&sha_256]), &content, &wrap(0xa0, &[certificate]), &wrap(0x31, &[&signer])]);
    sequence(&[&oid(SIGNED_DATA), &wrap(0xa0, &[&data])])
}

/// A certificate for timestamps and nothing else, by the firm's root (RFC 3161 §2.3).
fn authority(firm: &TestFirm, key: &PrivateKey) -> Vec<u8> {
    let root = parts(parts(firm.root.as_der())[0]);
    let (algorithm, issuer, validity) = (root[2], root[3], root[4]);
    let text = |kind: &str, text: &[u8]| wrap(0x31, &[&sequence(&[&oid(kind), &wrap(12, &[text])])]);
    let name = sequence(&[&text("550403", b"North Bay time")]);
    let purpose = sequence(&[&oid("2b06010505070308")]);
    let extensions = sequence(&[&sequence(&[&oid("551d25"), &wrap(1, &[&[0xff]]), &wrap(4, &[&purpose])])]);
    let body = sequence(&[
        &wrap(0xa0, &[&wrap(2, &[&[2]])]),
        &wrap(2, &[&[7]]),
        algorithm,
        issuer,
        validity,
        &name,
        &key.public().to_spki_der(),
        &wrap(0xa3, &[&extensions]),
    ]);
    let signature = firm.root_key.sign(&body);
    sequence(&[&body, algorithm, &wrap(3, &[&[0], &signature])])
}

pub fn certificates(firm: &TestFirm, signer: &Signer, at: DateTime<Utc>) -> Seeds {
    let person = signer.chain().person();
    let der = person.as_der();
    let pem = person.to_pem();
    let key = PrivateKey::generate(&mut FixedRng::new("asks"));
    let asked = Person { name: "Iver Sund".to_owned(), organization: "North Bay".to_owned(), role: Role::Dealer };
    let revocation = Revocation { serial: person.serial(), since: at, reason: Reason::KeyCompromise };
    let until = at + chrono::TimeDelta::days(7);
    let list = RevocationList::publish(&firm.issuer_key, &firm.issuer, 3, (at, until), &[revocation]).unwrap();
    let [one, other] = ["one", "other"].map(|name| ReportIdentity(Sha256Digest::of(name.as_bytes())));
    let statement = sign_statement(one, StatementKind::Superseded { by: other }, "wrong car", at, signer).unwrap();
    let flip = |place: usize| with(der, place, &[der[place] ^ 1]);
    let stamping = authority(firm, &key);
    let unsound = with(&stamping, find(&stamping, &key.public().to_bytes()), &[0; 32]);
    vec![
        ("valid-person", der.to_vec()),
        ("valid-issuer", firm.issuer.as_der().to_vec()),
        ("valid-root", firm.root.to_pem().into_bytes()),
        ("valid-authority", Certificate::parse_der(&stamping).unwrap().to_pem().into_bytes()),
        ("valid-list", list.as_der().to_vec()),
        ("valid-request", CertificateAsked::sign(&asked, &key).unwrap().to_pem().into_bytes()),
        ("valid-statement", statement.to_pem().as_bytes().to_vec()),
        ("other-tag", flip(0)),
        ("other-version", with(der, find(der, &[2, 1, 2]), &[2, 1, 3])),
        ("other-key-algorithm", flip(find(der, &person.key().to_spki_der()) + 8)),
        ("unsound-key", unsound),
        ("indefinite-length", [&[0x30, 0x80][..], &der[4..], &[0, 0]].concat()),
        ("list-cut", list.as_der()[..list.as_der().len() / 2].to_vec()),
        ("cut", der[..der.len() / 2].to_vec()),
        ("trailing", [der, &[0]].concat()),
        ("other-label", pem.replace("CERTIFICATE", "CERTIFICAT").into_bytes()),
        ("two-blocks", [pem.as_bytes(), pem.as_bytes()].concat()),
        ("pem-cut", pem.as_bytes()[..pem.len() / 2].to_vec()),
        ("sequence-alone", vec![0x30, 0]),
        ("empty", Vec::new()),
    ]
}
