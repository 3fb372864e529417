//! The tree, its proofs, heads and tiles beside what others have published (`vectors/README.md`).
#![allow(clippy::unwrap_used, reason = "a test may stop where its own ground is missing")]

use base64ct::{Base64, Encoding as _};
use log::{
    AuditFault, Checkpoint, LogKey, Tree, audit, bundle_path, leads_on, leaf_hash, list_tiles, read_bundle, tile_path,
};
use seal::{digest::Sha256Digest, key::PrivateKey, receipt::inclusion_root};
use serde_json::Value;

fn bytes(text: &Value) -> Vec<u8> {
    Base64::decode_vec(text.as_str().unwrap()).unwrap()
}

/// A hash in base64. Some vectors have strings of other lengths in the place of a root, which are equal or not: the digest of
/// such a string stands in for it.
fn hash(text: &Value) -> Sha256Digest {
    let bytes = bytes(text);
    <[u8; 32]>::try_from(&bytes[..]).map_or_else(|_| Sha256Digest::of(&bytes), Sha256Digest::from_bytes)
}

fn hashes(list: &Value) -> Vec<Sha256Digest> {
    list.as_array().map_or_else(Vec::new, |list| list.iter().map(hash).collect())
}

fn each(vectors: &str, holds: impl Fn(&Value) -> bool) {
    let vectors: Vec<Value> = serde_json::from_str(vectors).unwrap();
    assert_eq!(vectors.len(), 98);
    assert_eq!(vectors.iter().filter(|vector| vector["wantErr"] == false).count(), 6, "those that hold");
    for vector in &vectors {
        assert_eq!(holds(vector), vector["wantErr"] == false, "{}: {}", vector["file"], vector["desc"]);
    }
}

#[test]
fn proofs_of_inclusion_hold_and_fail_as_others_say() {
    each(include_str!("vectors/inclusion.json"), |vector| {
        let [index, size] = ["leafIdx", "treeSize"].map(|name| vector[name].as_u64().unwrap());
        // No hash of another length reaches the proof: its type has 32 bytes.
        let Ok(leaf) = <[u8; 32]>::try_from(bytes(&vector["leafHash"])) else { return false };
        let found = inclusion_root(index, size, Sha256Digest::from_bytes(leaf), &hashes(&vector["proof"]));
        found == Some(hash(&vector["root"]))
    });
}

#[test]
fn proofs_of_growth_hold_and_fail_as_others_say() {
    each(include_str!("vectors/consistency.json"), |vector| {
        let [old, new] = ["size1", "size2"].map(|name| vector[name].as_u64().unwrap());
        leads_on((old, hash(&vector["root1"])), (new, hash(&vector["root2"])), &hashes(&vector["proof"]))
    });
}

#[test]
fn our_proofs_are_the_ones_that_others_give() {
    // The vectors that hold are proofs over the eight leaves of the Certificate Transparency tests.
    let mut tree = Tree::default();
    for leaf in ["", "00", "10", "2021", "3031", "40414243", "5051525354555657", "606162636465666768696a6b6c6d6e6f"] {
        tree.append(&hex::decode(leaf).unwrap());
    }
    let holding = |vectors: &str| -> Vec<Value> {
        let vectors: Vec<Value> = serde_json::from_str(vectors).unwrap();
        vectors.into_iter().filter(|vector| vector["desc"] == "happy path").collect()
    };
    for vector in holding(include_str!("vectors/inclusion.json")) {
        let [index, size] = ["leafIdx", "treeSize"].map(|name| vector[name].as_u64().unwrap());
        assert_eq!(tree.prove(index, size), Some(hashes(&vector["proof"])), "{vector}");
    }
    for vector in holding(include_str!("vectors/consistency.json")) {
        let [old, new] = ["size1", "size2"].map(|name| vector[name].as_u64().unwrap());
        assert_eq!(tree.prove_growth(old, new), Some(hashes(&vector["proof"])), "{vector}");
    }
}

/// A file of the published log.
fn published(path: &str) -> std::io::Result<Vec<u8>> {
    std::fs::read(std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/vectors/published_log").join(path))
}

fn published_head(size: u64) -> (String, Checkpoint) {
    let text = String::from_utf8(published(&format!("checkpoint.{size}")).unwrap()).unwrap();
    let head = Checkpoint::parse(&text).unwrap();
    (text, head)
}

const PUBLISHED_KEY: &str = "example.com/log/testdata+33d7b496+AeHTu4Q3hEIMHNqc6fASMsq3rKNx280NI+oO5xCFkkSx";
/// The seed of its key, which its authors publish.
const PUBLISHED_SEED: &str = "eca663f499017d2365c27c7a7679158d43cfec1330bdb259290afbd0d21777a0";

#[test]
fn the_heads_of_a_published_log_are_read_and_signed_to_the_byte() {
    let key = LogKey::parse(PUBLISHED_KEY).unwrap();
    let seed: [u8; 32] = hex::decode(PUBLISHED_SEED).unwrap().try_into().unwrap();
    let private = PrivateKey::from_seed(&seed);
    assert_eq!(private.public(), key.public_key());
    for size in 0..=15 {
        let (text, head) = published_head(size);
        assert!(head.names(&key) && head.is_signed_by(&key), "{size}");
        assert_eq!(head.size(), size);
        assert_eq!(Checkpoint::sign(key.name(), size, head.root(), &private).as_str(), text, "{size}");
    }
}

#[test]
fn a_published_log_has_the_tree_and_the_tiles_that_we_would_give_it() {
    let bundle = published(&bundle_path(0, 15)).unwrap();
    let entries = read_bundle(&bundle).unwrap();
    assert_eq!(entries.len(), 15);
    assert_eq!(entries[7], b"eit", "its authors' spelling");
    let mut tree = Tree::default();
    for entry in &entries {
        tree.append(entry);
    }
    let heads: Vec<Checkpoint> = (0..=15).map(|size| published_head(size).1).collect();
    for now in &heads {
        let size = now.size();
        assert_eq!(tree.root_at(size), Some(now.root()), "{size} entries");
        for (index, entry) in (0..size).zip(&entries) {
            let proof = tree.prove(index, size).unwrap();
            assert_eq!(inclusion_root(index, size, leaf_hash(entry), &proof), Some(now.root()), "{index} of {size}");
        }
        for then in &heads[1..=size as usize] {
            let proof = tree.prove_growth(then.size(), size).unwrap();
            assert!(leads_on((then.size(), then.root()), (size, now.root()), &proof), "{} to {size}", then.size());
        }
    }
    let files = list_tiles(&tree, 0, |nth| Ok::<_, ()>(entries[nth as usize].to_vec())).unwrap();
    let paths: Vec<&str> = files.iter().map(|file| file.path.as_str()).collect();
    assert_eq!(paths, [bundle_path(0, 15), tile_path(0, 0, 15)]);
    for file in &files {
        assert_eq!(file.bytes, published(&file.path).unwrap(), "{}", file.path);
    }
}

#[test]
fn a_log_of_other_entries_is_refused_at_its_first() {
    let key = LogKey::parse(PUBLISHED_KEY).unwrap();
    assert!(matches!(audit(&key, None, published), Err(AuditFault::Entry { number: 0 })));
}
