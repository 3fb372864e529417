//! The Merkle tree of RFC 6962 §2.1.

use crate::digest::Sha256Digest;

/// A leaf's hash: SHA-256 over 0x00 and the entry (RFC 6962 §2.1).
pub fn leaf_hash(entry: &[u8]) -> Sha256Digest {
    Sha256Digest::of_pieces(&[&[0], entry])
}

/// An inner node's hash: SHA-256 over 0x01 and its two children (RFC 6962 §2.1).
pub fn node_hash(left: Sha256Digest, right: Sha256Digest) -> Sha256Digest {
    Sha256Digest::of_pieces(&[&[1], left.as_bytes(), right.as_bytes()])
}

/// The root that an inclusion proof leads to from a leaf (RFC 9162 §2.1.3.2, the algorithm for the audit paths of
/// RFC 6962 §2.1.1). None when the index lies outside of the tree or the proof has another length than the path.
pub fn inclusion_root(index: u64, size: u64, leaf: Sha256Digest, proof: &[Sha256Digest]) -> Option<Sha256Digest> {
    if index >= size {
        return None;
    }
    let (mut node, mut last) = (index, size - 1);
    let mut hash = leaf;
    for sibling in proof {
        if last == 0 {
            return None;
        }
        if node % 2 == 1 || node == last {
            hash = node_hash(*sibling, hash);
            while node % 2 == 0 && node != 0 {
                node >>= 1;
                last >>= 1;
            }
        } else {
            hash = node_hash(hash, *sibling);
        }
        node >>= 1;
        last >>= 1;
    }
    (last == 0).then_some(hash)
}
