//! Signatures that are refused, each with one piece that is another.

use seal::{certificate::Role, file::SealedFile};

use super::{
    der::{attribute, oid, sequence, wrap},
    firm::{House, key},
    folder::{Folder, broken},
    scene::{Scene, receipt},
    signature::{
        CONTENT_TYPE, COUNTERSIGNATURE, DATA, MESSAGE_DIGEST, SHA_256, SHA_512, SIGNING_CERTIFICATE, SIGNING_TIME,
        Signature, named, receipt_attribute,
    },
};

/// One change of a valid signature.
struct Change {
    name: &'static str,
    code: &'static str,
    shows: &'static str,
    apply: fn(&mut Signature, &Scene),
}

const fn change(
    name: &'static str,
    code: &'static str,
    shows: &'static str,
    apply: fn(&mut Signature, &Scene),
) -> Change {
    Change { name, code, shows, apply }
}

const CHANGES: &[Change] = &[
    change("cms-signed-extra", "!cms-attribute-unknown", "a fourth signed attribute", |signature, _| {
        signature.attributes.push(attribute(SIGNING_TIME, &[wrap(0x17, &[b"261124130200Z"])]));
    }),
    change("cms-signed-doubled", "!cms-attribute-doubled", "content-type stands twice", |signature, _| {
        signature.attributes.push(attribute(CONTENT_TYPE, &[oid(DATA)]));
    }),
    change("cms-signed-missing", "!cms-attribute-missing", "no signing-certificate-v2", |signature, _| {
        signature.attributes.pop();
    }),
    change("cms-signed-none", "!cms-no-signed-attributes", "no signed attributes", |signature, _| {
        signature.attributes.clear();
    }),
    change(
        "cms-digest-other",
        "!digest-differs",
        "message-digest is that of other bytes, and signed",
        |signature, _| {
            signature.attributes[1] = attribute(MESSAGE_DIGEST, &[wrap(4, &[&[7; 64]])]);
        },
    ),
    change("cms-digest-short", "!cms-attribute-message-digest", "message-digest has 32 bytes", |signature, _| {
        signature.attributes[1] = attribute(MESSAGE_DIGEST, &[wrap(4, &[&[7; 32]])]);
    }),
    change(
        "cms-certificate-other",
        "!cms-attribute-signing-certificate",
        "signing-certificate-v2 names a colleague's certificate",
        |signature, scene| {
            let [_, issuer, root] = scene.certificates();
            let names = named(&[scene.tomas.certificate.as_der(), issuer.as_der(), root.as_der()]);
            signature.attributes[2] = attribute(SIGNING_CERTIFICATE, &[names]);
        },
    ),
    change(
        "cms-certificate-alone",
        "!cms-attribute-signing-certificate",
        "signing-certificate-v2 names the signer's certificate and not the others",
        |signature, scene| {
            let names = named(&[scene.ines.certificate.as_der()]);
            signature.attributes[2] = attribute(SIGNING_CERTIFICATE, &[names]);
        },
    ),
    change("signature-other-key", "!signature-invalid", "signed with another key", |signature, _| {
        signature.key = key(99);
    }),
    change("signature-flipped", "!signature-invalid", "one bit of the signature value is turned", |signature, _| {
        signature.spoil = |value| value[40] ^= 1;
    }),
    change("signature-not-reduced", "!signature-invalid", "S and the group's order added", |signature, _| {
        signature.spoil = |value| add_group_order(value);
    }),
    change("signature-short", "!signature-invalid", "a signature value of 63 bytes", |signature, _| {
        signature.spoil = |value| value.truncate(63);
    }),
    change("cms-set-order", "!cms-set-order", "the sets in another order than DER's", |signature, _| {
        signature.sorted = false;
    }),
    change("cms-two-certificates", "!cms-certificates", "without the root", |signature, _| {
        signature.certificates.pop();
    }),
    change("cms-content-inside", "!cms-content-inside", "the content stands inside", |signature, _| {
        signature.content = wrap(0xa0, &[&wrap(4, &[b"inside"])]);
    }),
    change("cms-sha-256", "!cms-digest-algorithm", "SHA-256 as digest algorithm", |signature, _| {
        signature.digest_algorithm = sequence(&[&oid(SHA_256)]);
    }),
    change("cms-null-parameters", "!cms-digest-algorithm", "SHA-512 with NULL parameters", |signature, _| {
        signature.digest_algorithm = sequence(&[&oid(SHA_512), &[5, 0]]);
    }),
    change("cms-signer-unknown", "!cms-signer-unknown", "a signer who is not inside", |signature, scene| {
        signature.signer = scene.tomas.certificate.as_der().to_vec();
    }),
    change("cms-unsigned-extra", "!cms-unsigned-unknown", "a countersignature", |signature, _| {
        signature.unsigned.push(attribute(COUNTERSIGNATURE, &[vec![5, 0]]));
    }),
    change("cms-two-receipts", "!receipt-doubled", "two receipts", |signature, scene| {
        signature.unsigned.push(receipt_attribute(&receipt(&scene.small.sealed).to_text()));
        signature.unsigned.push(receipt_attribute("another"));
    }),
    change("cms-receipt-no-text", "!receipt-attribute-malformed", "the receipt is an OCTET STRING", |signature, _| {
        signature.unsigned.push(attribute(super::signature::RECEIPT, &[wrap(4, &[b"receipt"])]));
    }),
];

fn add_group_order(value: &mut [u8]) {
    // L = 2^252 + 27742317777372353535851937790883648493 (RFC 8032 §5.1), little end first.
    let order = hex::decode("edd3f55c1a631258d69cf7a2def9de1400000000000000000000000000000010").unwrap();
    let mut carry = 0;
    for (byte, add) in value[32..].iter_mut().zip(order) {
        let sum = u16::from(*byte) + u16::from(add) + carry;
        *byte = sum.to_le_bytes()[0];
        carry = sum >> 8;
    }
}

pub fn add(folder: &mut Folder, scene: &Scene) {
    let file = SealedFile::read(&scene.small.prepared).unwrap();
    let valid = scene.signature(&scene.small.prepared).to_der();
    assert_eq!(file.with_signature(&valid).unwrap(), scene.small.sealed, "the pieces make the very signature");
    for Change { name, code, shows, apply } in CHANGES {
        let mut signature = scene.signature(&scene.small.prepared);
        apply(&mut signature, scene);
        let sealed = file.with_signature(&signature.to_der()).unwrap();
        folder.report(name, &sealed, &scene.full, (broken(code), "do-not-rely"), shows);
    }
    spelling(folder, scene, &valid);
    chains(folder, scene);
}

/// The right values in a spelling that is not DER.
fn spelling(folder: &mut Folder, scene: &Scene, valid: &[u8]) {
    let mut put = |name: &str, der: &[u8], code, shows: &str| {
        let at = super::report::find(&scene.small.sealed, b"/Contents<") + b"/Contents<".len();
        let mut bytes = scene.small.sealed.clone();
        bytes[at..at + 2 * seal::file::ROOM_BYTES].fill(b'0');
        bytes[at..at + 2 * der.len()].copy_from_slice(hex::encode(der).as_bytes());
        folder.report(name, &bytes, &scene.full, (broken(code), "do-not-rely"), shows);
    };
    // X.690 §8.1.3.6: indefinite length, and end-of-contents octets.
    let indefinite = [&[0x30, 0x80][..], &valid[4..], &[0, 0]].concat();
    put("cms-ber-outside", &indefinite, "!contents-not-der", "the whole with indefinite length: BER");
    let inner = [&valid[..4], &indefinite_inside(&valid[4..])].concat();
    put("cms-ber-inside", &inner, "!cms-not-canonical", "the SignedData with indefinite length: BER");
    let mut tagged = valid.to_vec();
    let content = super::report::find(valid, &[&[0x30, 0x0b][..], &oid(DATA)].concat());
    tagged[content] = 0x31;
    put("cms-other-tag", &tagged, "!cms-not-canonical", "a set in the place of a sequence, where nothing is signed");
}

/// `[0]` of the content in BER; the oid before it stays. The whole keeps its length: four bytes of head become two, and two
/// end-of-contents octets follow.
fn indefinite_inside(body: &[u8]) -> Vec<u8> {
    let (oid, content) = body.split_at(11);
    [oid, &[0xa0, 0x80], &content[4..], &[0, 0]].concat()
}

/// Certificates that do not belong together; every signature in them and over the file stands.
fn chains(folder: &mut Folder, scene: &Scene) {
    let file = SealedFile::read(&scene.small.prepared).unwrap();
    let digest = file.covered_digest();
    let [ines, issuer, root] = scene.certificates();
    let namesake = House::found(scene.house.name, 60);
    let forged = namesake.hire("Ines Okafor-Lind", Role::Inspector, 62);
    let mut put = |name: &str, signature: &Signature, code, shows: &str| {
        let sealed = file.with_signature(&signature.to_der()).unwrap();
        let answers = ["!pages-differ", code, "?no-proof-of-time", "?signer-refused"];
        folder.report(name, &sealed, &scene.full, (answers, "do-not-rely"), shows);
    };
    let signature = Signature::valid(digest, [&forged.certificate, issuer, root], key(62));
    put("chain-namesake", &signature, "!chain-same-name-other-key", "certified by a namesake of the firm's issuer");
    let signature = Signature::valid(digest, [issuer, ines, root], key(21));
    put("chain-issuer-signs", &signature, "!authority-as-signer", "the issuer's own key signs the file");
    let other = House::found("Saltmarsh Motor House", 40);
    let signature = Signature::valid(digest, [ines, &other.issuer, root], key(scene.ines.seed));
    put("chain-issuer-missing", &signature, "!chain-certificate-missing", "another firm's issuer in the chain");
    let mut spoilt = ines.as_der().to_vec();
    *spoilt.last_mut().unwrap() ^= 1;
    let mut signature = scene.signature(&scene.small.prepared);
    signature.certificates[0].clone_from(&spoilt);
    signature.attributes[2] = attribute(SIGNING_CERTIFICATE, &[named(&[&spoilt, issuer.as_der(), root.as_der()])]);
    let shows = "the issuer's signature under the signer's certificate is another";
    put("chain-signature", &signature, "!chain-signature-invalid", shows);
}
