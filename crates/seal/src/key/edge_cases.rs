//! The classes of Chalkias, Garillot, Nikolaenko, "Taming the many `EdDSA`s" (SSR 2020, table 5), each built here from
//! its definition, so that the equation holds and only strictness refuses. (The authors' own twelve vectors were run
//! once by hand with the same outcome; the classes and their numbers are from memory.)

use curve25519_dalek::{EdwardsPoint, Scalar, constants, traits::IsIdentity as _};
use ed25519_dalek::{Signature, Verifier as _, VerifyingKey};
use sha2::{Digest as _, Sha512};

use super::*;

/// k = H(R ‖ A ‖ M) mod L (RFC 8032 §5.1.7).
fn challenge(r: &[u8; 32], a: &[u8; 32], message: &[u8]) -> Scalar {
    let hash = Sha512::new().chain_update(r).chain_update(a).chain_update(message).finalize();
    Scalar::from_bytes_mod_order_wide(&hash.into())
}

fn join(r: [u8; 32], s: Scalar) -> [u8; 64] {
    let mut signature = [0; 64];
    signature[..32].copy_from_slice(&r);
    signature[32..].copy_from_slice(s.as_bytes());
    signature
}

/// What a lax library says of the same bytes: proves that strictness alone refuses.
fn passes_laxly(key: &[u8; 32], message: &[u8], signature: &[u8; 64]) -> bool {
    VerifyingKey::from_bytes(key).is_ok_and(|key| key.verify(message, &Signature::from_bytes(signature)).is_ok())
}

fn passes_strictly(key: &[u8; 32], message: &[u8], signature: &[u8; 64]) -> bool {
    PublicKey::parse(key).and_then(|key| key.check(message, signature)).is_ok()
}

/// The first message for which the condition on the challenge holds.
fn find_message(fits: impl Fn(&[u8]) -> bool) -> Vec<u8> {
    (0..10_000_u32).map(|n| n.to_le_bytes().to_vec()).find(|message| fits(message)).unwrap()
}

fn secret() -> (Scalar, [u8; 32]) {
    let a = Scalar::from(0x0123_4567_89ab_cdef_u64);
    (a, EdwardsPoint::mul_base(&a).compress().to_bytes())
}

#[test]
fn every_key_of_small_order_is_refused() {
    // Cases 0 and 1: all eight points, in all their encodings (y + p too where it fits, and both signs of x = 0).
    let mut encodings: Vec<[u8; 32]> = constants::EIGHT_TORSION.map(|point| point.compress().to_bytes()).to_vec();
    for low in [0xed_u8, 0xee] {
        let mut second = [0xff; 32];
        second[0] = low;
        encodings.push(second);
        second[31] = 0x7f;
        encodings.push(second);
    }
    for encoding in [[1; 1], [0xec; 1]] {
        let mut signed_zero = if encoding[0] == 1 { [0; 32] } else { [0xff; 32] };
        signed_zero[0] = encoding[0];
        signed_zero[31] |= 0x80;
        encodings.push(signed_zero);
    }
    let r = Scalar::from(99_u64);
    let mut lax = 0;
    for key in encodings {
        assert!(PublicKey::parse(&key).is_err(), "{}", hex::encode(key));
        let big_r = EdwardsPoint::mul_base(&r).compress().to_bytes();
        let message = find_message(|m| challenge(&big_r, &key, m).as_bytes()[0].is_multiple_of(8));
        lax += usize::from(passes_laxly(&key, &message, &join(big_r, r)));
    }
    assert!(lax >= 8, "only {lax} of the forgeries would fool a lax check");
}

#[test]
fn an_r_of_small_order_is_refused() {
    // Case 2: R is the identity, S = k a.
    let (a, key) = secret();
    let r = EdwardsPoint::default();
    assert!(r.is_identity());
    let r = r.compress().to_bytes();
    let signature = join(r, challenge(&r, &key, b"m") * a);
    assert!(passes_laxly(&key, b"m", &signature));
    assert!(!passes_strictly(&key, b"m", &signature));
}

#[test]
fn a_non_canonical_r_is_refused() {
    // Cases 8 and 9: the identity again, spelt with y = p + 1.
    let (a, key) = secret();
    let mut r = [0xff; 32];
    r[0] = 0xee;
    r[31] = 0x7f;
    let signature = join(r, challenge(&r, &key, b"m") * a);
    assert!(!passes_strictly(&key, b"m", &signature));
}

#[test]
fn a_mixed_key_passes_only_without_a_cofactor() {
    // Cases 3 and 4: A = a B + T with T of order 8. With 8 | k the cofactorless equation holds (accepted, as the paper
    // says of every strict library); with other k only the cofactored one does, and that must be refused.
    let (a, _) = secret();
    let mixed = EdwardsPoint::mul_base(&a) + constants::EIGHT_TORSION[1];
    let key = mixed.compress().to_bytes();
    let r = Scalar::from(77_u64);
    let big_r = EdwardsPoint::mul_base(&r).compress().to_bytes();
    for (rest, passes) in [(0, true), (1, false), (4, false)] {
        let message = find_message(|m| challenge(&big_r, &key, m).as_bytes()[0] % 8 == rest);
        let signature = join(big_r, r + challenge(&big_r, &key, &message) * a);
        assert_eq!(passes_strictly(&key, &message, &signature), passes, "k mod 8 = {rest}");
    }
}
