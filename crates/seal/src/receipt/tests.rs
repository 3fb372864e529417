use super::*;
use crate::fixture::at;

/// Root and audit path by the recursive definitions of RFC 6962 §2.1 and §2.1.1.
fn tree_root(leaves: &[Vec<u8>]) -> Sha256Digest {
    match leaves {
        [] => Sha256Digest::of(b""),
        [leaf] => leaf_hash(leaf),
        _ => {
            let (left, right) = leaves.split_at(split(leaves.len()));
            node_hash(tree_root(left), tree_root(right))
        }
    }
}

fn audit_path(index: usize, leaves: &[Vec<u8>]) -> Vec<Sha256Digest> {
    if leaves.len() <= 1 {
        return Vec::new();
    }
    let (left, right) = leaves.split_at(split(leaves.len()));
    let (mut path, sibling) = match index.checked_sub(left.len()) {
        None => (audit_path(index, left), tree_root(right)),
        Some(index) => (audit_path(index, right), tree_root(left)),
    };
    path.push(sibling);
    path
}

/// The largest power of two below n.
fn split(n: usize) -> usize {
    n.next_power_of_two() / 2
}

/// The eight leaves of the Certificate Transparency reference implementation's tests.
fn reference_leaves() -> Vec<Vec<u8>> {
    ["", "00", "10", "2021", "3031", "40414243", "5051525354555657", "606162636465666768696a6b6c6d6e6f"]
        .map(|leaf| hex::decode(leaf).unwrap())
        .to_vec()
}

#[test]
fn roots_agree_with_the_reference_tree() {
    // RFC 6962 §2.1 as tabled by the Certificate Transparency reference implementation (from memory), sizes 1 to 8.
    let roots = [
        "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
        "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
        "aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
        "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
        "4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
        "76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
        "ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
        "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
    ];
    let leaves = reference_leaves();
    for (size, root) in (1..).zip(roots) {
        assert_eq!(tree_root(&leaves[..size]).to_hex(), root, "size {size}");
        for index in 0..size {
            let path = audit_path(index, &leaves[..size]);
            let found = inclusion_root(index as u64, size as u64, leaf_hash(&leaves[index]), &path);
            assert_eq!(found.unwrap().to_hex(), root, "leaf {index} of {size}");
        }
    }
    assert_eq!(tree_root(&[]).to_hex(), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
}

#[test]
#[allow(clippy::many_single_char_names, reason = "the RFC's own names")]
fn the_example_paths_of_the_rfc_lead_to_the_root() {
    // RFC 6962 §2.1.3: in the tree of seven leaves the path of d0 is [b, h, l], of d3 [c, g, l], of d4 [f, j, k],
    // of d6 [i, k].
    let leaves: Vec<Vec<u8>> = (0..7).map(|n| format!("d{n}").into_bytes()).collect();
    let [a, b, c, d, e, f, j] = [0, 1, 2, 3, 4, 5, 6].map(|n: usize| leaf_hash(&leaves[n]));
    let (g, h, i) = (node_hash(a, b), node_hash(c, d), node_hash(e, f));
    let (k, l) = (node_hash(g, h), node_hash(i, j));
    let root = Some(node_hash(k, l));
    assert_eq!(inclusion_root(0, 7, a, &[b, h, l]), root);
    assert_eq!(inclusion_root(3, 7, d, &[c, g, l]), root);
    assert_eq!(inclusion_root(4, 7, e, &[f, j, k]), root);
    assert_eq!(inclusion_root(6, 7, j, &[i, k]), root);
    assert_ne!(inclusion_root(3, 7, d, &[g, c, l]), root);
}

#[test]
fn a_path_of_another_length_or_place_leads_nowhere() {
    let leaves: Vec<Vec<u8>> = (0..40_u8).map(|n| vec![n]).collect();
    for size in 1..=leaves.len() {
        let root = tree_root(&leaves[..size]);
        for index in 0..size {
            let path = audit_path(index, &leaves[..size]);
            let leaf = leaf_hash(&leaves[index]);
            let lead = |index: usize, path: &[_]| inclusion_root(index as u64, size as u64, leaf, path) == Some(root);
            assert!(lead(index, &path));
            assert!(!lead(size, &path));
            assert!(path.is_empty() || !lead(index, &path[1..]));
            assert!(path.is_empty() || !lead(index, &path[..path.len() - 1]));
            assert!(!lead(index, &[&path[..], &[leaf]].concat()));
            assert!((0..size).filter(|other| *other != index).all(|other| !lead(other, &path)), "{index} of {size}");
        }
    }
    assert_eq!(inclusion_root(0, 0, leaf_hash(b""), &[]), None);
    assert_eq!(inclusion_root(u64::MAX, u64::MAX, leaf_hash(b""), &[leaf_hash(b""); 64]), None);
}

const ORIGIN: &str = "log.example/north-bay";

fn log_key() -> PrivateKey {
    PrivateKey::from_seed(&[3; 32])
}

fn keys() -> Vec<LogKey> {
    vec![
        LogKey::new("log.example/other", log_key().public()).unwrap(),
        LogKey::new(ORIGIN, log_key().public()).unwrap(),
    ]
}

fn report() -> ReportIdentity {
    ReportIdentity(Sha256Digest::of(b"report"))
}

/// A receipt in a log of eleven entries, where ours is number 6.
fn receipt() -> Receipt {
    let entry = LogEntry::new(report(), b"signature", at("2026-02-03T04:05:06.7Z"));
    let mut leaves: Vec<Vec<u8>> = (0..11_u8).map(|n| vec![n]).collect();
    leaves[6] = entry.to_text().into_bytes();
    let checkpoint = Checkpoint::sign(ORIGIN, 11, tree_root(&leaves), &log_key());
    Receipt { entry, index: 6, proof: audit_path(6, &leaves), checkpoint }
}

#[test]
fn a_receipt_proves_its_time() {
    let text = receipt().to_text();
    let read = Receipt::parse(&text).unwrap();
    assert_eq!(read, receipt());
    let proven = read.check(report(), b"signature", &keys()).unwrap();
    assert_eq!(proven, LoggedTime { at: at("2026-02-03T04:05:06Z"), log: ORIGIN.to_owned(), index: 6 });
}

#[test]
fn a_receipt_proves_nothing_for_anything_else() {
    let receipt = receipt();
    let other = ReportIdentity(Sha256Digest::of(b"other"));
    assert_eq!(receipt.check(other, b"signature", &keys()), Err(ReceiptFault::OtherReport));
    assert_eq!(receipt.check(report(), b"another", &keys()), Err(ReceiptFault::OtherSignature));
    let unknown = Err(ReceiptFault::UnknownLog { origin: ORIGIN.to_owned() });
    assert_eq!(receipt.check(report(), b"signature", &keys()[..1]), unknown);
    let foreign = LogKey::new(ORIGIN, PrivateKey::from_seed(&[4; 32]).public()).unwrap();
    assert_eq!(receipt.check(report(), b"signature", &[foreign]), unknown);
    let moved = Receipt { index: 5, ..receipt.clone() };
    assert_eq!(moved.check(report(), b"signature", &keys()), Err(ReceiptFault::NotIncluded));
    let mut earlier = receipt;
    earlier.entry.at = at("2026-01-01T00:00:00Z");
    assert_eq!(earlier.check(report(), b"signature", &keys()), Err(ReceiptFault::NotIncluded));
}

#[test]
fn a_false_signature_under_a_known_key_refuses_the_note() {
    let receipt = receipt();
    let text = receipt.checkpoint.as_str().to_owned();
    let line = text.rsplit_once("\n\n").unwrap().1;
    let mut bytes = decode_base64(line.trim_end().rsplit(' ').next().unwrap()).unwrap();
    bytes[20] ^= 1;
    let false_line = format!("— {ORIGIN} {}\n", Base64::encode_string(&bytes));
    let both = Receipt { checkpoint: Checkpoint::parse(&format!("{text}{false_line}")).unwrap(), ..receipt.clone() };
    assert_eq!(both.check(report(), b"signature", &keys()), Err(ReceiptFault::CheckpointSignature));
    // A witness that we do not know is ignored.
    let witness = format!("{text}— witness.example/w1 {}\n", Base64::encode_string(&[9; 76]));
    let witnessed = Receipt { checkpoint: Checkpoint::parse(&witness).unwrap(), ..receipt };
    assert!(Receipt::parse(&witnessed.to_text()).unwrap().check(report(), b"signature", &keys()).is_ok());
}

#[test]
fn every_flipped_or_cut_receipt_is_refused() {
    let text = receipt().to_text();
    let passes = |text: &[u8]| {
        std::str::from_utf8(text)
            .ok()
            .and_then(|text| Receipt::parse(text).ok())
            .is_some_and(|receipt| receipt.check(report(), b"signature", &keys()).is_ok())
    };
    assert!(passes(text.as_bytes()));
    for at in 0..text.len() {
        assert!(!passes(&text.as_bytes()[..at]), "cut to {at}");
        for bit in 0..8 {
            let mut other = text.clone().into_bytes();
            other[at] ^= 1 << bit;
            assert!(!passes(&other), "bit {bit} of byte {at}");
        }
        let doubled = [&text.as_bytes()[..=at], &text.as_bytes()[at..]].concat();
        assert!(!passes(&doubled), "byte {at} doubled");
    }
}

#[test]
fn the_only_entry_of_a_log_needs_no_path() {
    let entry = LogEntry::new(report(), b"signature", at("2026-02-03T04:05:06Z"));
    let receipt = Receipt::issue_first(entry, ORIGIN, &log_key());
    assert!(Receipt::parse(&receipt.to_text()).unwrap().check(report(), b"signature", &keys()).is_ok());
    assert_eq!(Receipt::parse("").unwrap_err().code(), "receipt-malformed");
    assert_eq!(Receipt::parse(&"x".repeat(20_000)).unwrap_err().code(), "receipt-too-large");
}
