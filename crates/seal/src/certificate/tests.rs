use super::*;
use crate::{
    fixture::{FixedRng, at},
    key::PrivateKey,
};

struct Tree {
    root: Certificate,
    issuer: Certificate,
    issuer_key: PrivateKey,
    person: Certificate,
}

fn tree() -> Tree {
    let mut rng = FixedRng::new("tree");
    let firm = Firm { name: "Łukasz Brake Inspections".to_owned() };
    let root_key = PrivateKey::generate(&mut rng);
    let issuer_key = PrivateKey::generate(&mut rng);
    let person_key = PrivateKey::generate(&mut rng);
    let from = at("2026-01-01T00:00:00Z");
    let root = create_root(&root_key, &firm, from, &mut rng).unwrap();
    let issuer = certify_issuer(&root_key, &root, &firm, issuer_key.public(), from, &mut rng).unwrap();
    let person = Person { name: "Maja Đặng".to_owned(), organization: firm.name.clone(), role: Role::Inspector };
    let person = certify_person(&issuer_key, &issuer, &person, person_key.public(), from, &mut rng).unwrap();
    Tree { root, issuer, issuer_key, person }
}

#[test]
fn each_certificate_has_the_profile_of_its_rank_only() {
    let tree = tree();
    let ranks = [Rank::Root, Rank::Issuer, Rank::Person];
    for (certificate, own) in [(&tree.root, Rank::Root), (&tree.issuer, Rank::Issuer), (&tree.person, Rank::Person)] {
        for rank in ranks {
            assert_eq!(certificate.check_profile(rank).is_ok(), rank == own, "{certificate:?} as {rank:?}");
        }
    }
    assert_eq!(tree.issuer.check_profile(Rank::Person), Err(ProfileFault::AuthorityAsSigner));
    assert_eq!(tree.person.check_profile(Rank::Issuer), Err(ProfileFault::NoAuthority));
    assert_eq!(tree.issuer.check_profile(Rank::Root), Err(ProfileFault::PathLength));
}

#[test]
fn a_certificate_survives_pem_and_names_its_subject() {
    let tree = tree();
    let again = Certificate::parse_pem(&tree.person.to_pem()).unwrap();
    assert_eq!(again, tree.person);
    let subject = again.subject().unwrap();
    assert_eq!(subject.to_string(), "Maja Đặng, Łukasz Brake Inspections (Inspector)");
    assert_eq!(again.validity(), (at("2026-01-01T00:00:00Z"), at("2028-01-01T00:00:00Z")));
    assert_eq!(again.serial().len(), 32);
    assert!(again.is_signed_by(tree.issuer.key()));
    assert!(!again.is_signed_by(tree.root.key()));
}

#[test]
fn a_key_may_do_what_its_rank_does() {
    // RFC 5280 §4.2.1.3, as DER (X.690 §11.2.2): digitalSignature and contentCommitment are bits 0 and 1, keyCertSign and
    // cRLSign 5 and 6; the extension is critical.
    let tree = tree();
    let holds = |certificate: &Certificate, usage: [u8; 2]| {
        let head = [0x06, 0x03, 0x55, 0x1d, 0x0f, 0x01, 0x01, 0xff, 0x04, 0x04, 0x03, 0x02];
        let written = [&head[..], &usage].concat();
        certificate.as_der().windows(written.len()).any(|bytes| bytes == written)
    };
    assert!(holds(&tree.person, [0x06, 0xc0]));
    assert!(holds(&tree.issuer, [0x01, 0x06]));
    assert!(holds(&tree.root, [0x01, 0x06]));
}

#[test]
fn serial_numbers_are_positive_and_of_one_length() {
    let tree = tree();
    let mut rng = FixedRng::new("serials");
    let person = Person { name: "A B".to_owned(), organization: "C".to_owned(), role: Role::Office };
    for nth in 0..40 {
        let key = PrivateKey::generate(&mut rng).public();
        let from = at("2026-06-01T00:00:00Z");
        let certificate = certify_person(&tree.issuer_key, &tree.issuer, &person, key, from, &mut rng).unwrap();
        let serial = certificate.serial();
        // Sixteen bytes, the first from 0x40 to 0x7f.
        assert!(serial.len() == 32 && ('4'..='7').contains(&serial.chars().next().unwrap()), "{nth}: {serial}");
    }
}

#[test]
fn nobody_outlives_the_issuer() {
    let tree = tree();
    let mut rng = FixedRng::new("late");
    let person = Person { name: "A B".to_owned(), organization: "C".to_owned(), role: Role::Office };
    let key = PrivateKey::generate(&mut rng).public();
    let late = at("2035-06-01T00:00:00Z");
    let certificate = certify_person(&tree.issuer_key, &tree.issuer, &person, key, late, &mut rng).unwrap();
    assert_eq!(certificate.validity().1, tree.issuer.validity().1);
    let after = at("2036-06-01T00:00:00Z");
    let refused = certify_person(&tree.issuer_key, &tree.issuer, &person, key, after, &mut rng).unwrap_err();
    assert!(matches!(refused, IssueError::SignerNotValid { .. }), "{refused:?}");
    let stranger = PrivateKey::generate(&mut rng);
    let refused = certify_person(&stranger, &tree.issuer, &person, key, late, &mut rng).unwrap_err();
    assert!(matches!(refused, IssueError::KeyOfAnother), "{refused:?}");
}

#[test]
fn deceptive_names_are_refused() {
    let tree = tree();
    let mut rng = FixedRng::new("names");
    let from = at("2026-06-01T00:00:00Z");
    let names =
        ["", "  A", "A ", "A\u{202e}B", "A\u{200b}", "A\nB", "A\u{7}B", "A\u{a0}B", "A\u{ad}B", &"x".repeat(65)];
    for name in names {
        let person = Person { name: name.to_owned(), organization: "C".to_owned(), role: Role::Dealer };
        let key = PrivateKey::generate(&mut rng).public();
        let refused = certify_person(&tree.issuer_key, &tree.issuer, &person, key, from, &mut rng);
        assert!(matches!(refused, Err(IssueError::Subject(_))), "{name:?}: {refused:?}");
    }
    // RFC 5280, appendix A.1: ub-common-name is 64.
    let person = Person { name: "é".repeat(64), organization: "C".to_owned(), role: Role::Dealer };
    let key = PrivateKey::generate(&mut rng).public();
    assert!(certify_person(&tree.issuer_key, &tree.issuer, &person, key, from, &mut rng).is_ok());
}

#[test]
fn every_cut_or_flipped_certificate_is_refused_or_unsigned() {
    let tree = tree();
    let der = tree.person.as_der();
    for length in 0..der.len() {
        assert!(Certificate::parse_der(&der[..length]).is_err(), "cut to {length}");
    }
    for at in 0..der.len() {
        for bit in 0..8 {
            let mut other = der.to_vec();
            other[at] ^= 1 << bit;
            let fits = Certificate::parse_der(&other)
                .is_ok_and(|c| c.check_profile(Rank::Person).is_ok() && c.is_signed_by(tree.issuer.key()));
            assert!(!fits, "bit {bit} of byte {at}");
        }
    }
}
