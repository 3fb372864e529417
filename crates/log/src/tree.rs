//! The Merkle tree of RFC 6962 §2.1 over all entries, kept as the hashes of its complete subtrees.

use seal::{
    digest::Sha256Digest,
    receipt::{leaf_hash, node_hash},
};

/// A tree that grows. Level 0 holds the hashes of the leaves, level k those of complete subtrees of 2^k leaves.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Tree {
    levels: Vec<Vec<Sha256Digest>>,
}

impl Tree {
    /// How many entries it has.
    pub fn size(&self) -> u64 {
        self.levels.first().map_or(0, Vec::len) as u64
    }

    /// Adds an entry; its place comes back, counted from 0.
    pub fn append(&mut self, entry: &[u8]) -> u64 {
        let place = self.size();
        let mut hash = leaf_hash(entry);
        for level in 0.. {
            if self.levels.len() == level {
                self.levels.push(Vec::new());
            }
            let row = &mut self.levels[level];
            row.push(hash);
            // An even count has just closed a pair.
            let [.., left, right] = row[..] else { break };
            if row.len() % 2 == 1 {
                break;
            }
            hash = node_hash(left, right);
        }
        place
    }

    /// The hash of the complete subtree with this number on this level; none where it is not complete.
    pub fn subtree(&self, level: usize, number: u64) -> Option<Sha256Digest> {
        self.levels.get(level)?.get(usize::try_from(number).ok()?).copied()
    }

    /// The root when the tree had so many entries; of none, the hash of nothing. None beyond its size.
    pub fn root_at(&self, size: u64) -> Option<Sha256Digest> {
        if size > self.size() {
            return None;
        }
        if size == 0 { Some(Sha256Digest::of(b"")) } else { self.range(0, size) }
    }

    /// The root.
    pub fn root(&self) -> Sha256Digest {
        self.root_at(self.size()).unwrap_or_else(|| Sha256Digest::of(b""))
    }

    /// The audit path of an entry in the tree when it had so many (RFC 6962 §2.1.1), from the leaf's sibling upwards.
    pub fn prove(&self, index: u64, size: u64) -> Option<Vec<Sha256Digest>> {
        if index >= size || size > self.size() {
            return None;
        }
        let mut path = Vec::new();
        let (mut from, mut to) = (0, size);
        while to - from > 1 {
            let middle = from + split(to - from);
            if index < middle {
                path.push(self.range(middle, to)?);
                to = middle;
            } else {
                path.push(self.range(from, middle)?);
                from = middle;
            }
        }
        path.reverse();
        Some(path)
    }

    /// The proof that the tree of `size` entries holds that of `old` as its beginning (RFC 6962 §2.1.2).
    pub fn prove_growth(&self, old: u64, size: u64) -> Option<Vec<Sha256Digest>> {
        if old == 0 || old > size || size > self.size() {
            return None;
        }
        let mut path = Vec::new();
        let (mut from, mut to, mut is_whole) = (0, size, true);
        while to != old {
            let middle = from + split(to - from);
            if old <= middle {
                path.push(self.range(middle, to)?);
                to = middle;
            } else {
                path.push(self.range(from, middle)?);
                (from, is_whole) = (middle, false);
            }
        }
        if !is_whole {
            path.push(self.range(from, to)?);
        }
        path.reverse();
        Some(path)
    }

    /// The hash over the entries from one place to another, which need not be a complete subtree.
    fn range(&self, from: u64, to: u64) -> Option<Sha256Digest> {
        let count = to - from;
        if count.is_power_of_two() && from.is_multiple_of(count) {
            return self.subtree(count.trailing_zeros() as usize, from / count);
        }
        let middle = from + split(count);
        Some(node_hash(self.range(from, middle)?, self.range(middle, to)?))
    }
}

/// The largest power of two below a count of at least two.
const fn split(count: u64) -> u64 {
    1 << (count - 1).ilog2()
}

/// Whether a proof leads from the root of an older tree to that of a newer one (RFC 9162 §2.1.4.2). From a tree of nothing no
/// proof leads anywhere: every tree begins with it.
pub fn leads_on(
    (old, old_root): (u64, Sha256Digest),
    (size, root): (u64, Sha256Digest),
    proof: &[Sha256Digest],
) -> bool {
    if old == 0 || old > size {
        return false;
    }
    if old == size {
        return proof.is_empty() && old_root == root;
    }
    let mut path = proof.iter().copied();
    let first = if old.is_power_of_two() { Some(old_root) } else { path.next() };
    let Some(first) = first else { return false };
    let (mut node, mut last) = (old - 1, size - 1);
    while node % 2 == 1 {
        node >>= 1;
        last >>= 1;
    }
    let (mut before, mut now) = (first, first);
    for hash in path {
        if last == 0 {
            return false;
        }
        if node % 2 == 1 || node == last {
            before = node_hash(hash, before);
            now = node_hash(hash, now);
            while node % 2 == 0 && node != 0 {
                node >>= 1;
                last >>= 1;
            }
        } else {
            now = node_hash(now, hash);
        }
        node >>= 1;
        last >>= 1;
    }
    last == 0 && before == old_root && now == root
}

#[cfg(test)]
mod tests {
    use super::*;
    use seal::receipt::inclusion_root;

    /// The eight leaves of the Certificate Transparency reference implementation's tests.
    const LEAVES: [&str; 8] =
        ["", "00", "10", "2021", "3031", "40414243", "5051525354555657", "606162636465666768696a6b6c6d6e6f"];
    /// RFC 6962 §2.1 as tabled by that implementation (from memory), sizes 1 to 8.
    const ROOTS: [&str; 8] = [
        "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
        "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
        "aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
        "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
        "4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
        "76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
        "ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
        "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
    ];

    fn grown(count: u64) -> Tree {
        let mut tree = Tree::default();
        for nth in 0..count {
            assert_eq!(tree.append(format!("entry {nth}").as_bytes()), nth);
        }
        tree
    }

    #[test]
    fn roots_agree_with_the_reference_tree() {
        let mut tree = Tree::default();
        assert_eq!(tree.root().to_hex(), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
        for (leaf, root) in LEAVES.iter().zip(ROOTS) {
            tree.append(&hex::decode(leaf).unwrap());
            assert_eq!(tree.root().to_hex(), root, "{} leaves", tree.size());
        }
        for (size, root) in (1..).zip(ROOTS) {
            assert_eq!(tree.root_at(size).unwrap().to_hex(), root, "as it was with {size}");
        }
        assert_eq!(tree.root_at(9), None);
    }

    #[test]
    fn every_entry_is_proved_in_every_tree_that_has_it() {
        let tree = grown(70);
        for size in 1..=70 {
            let root = tree.root_at(size);
            for index in 0..size {
                let path = tree.prove(index, size).unwrap();
                let leaf = tree.subtree(0, index).unwrap();
                assert_eq!(inclusion_root(index, size, leaf, &path), root, "{index} of {size}");
            }
            assert_eq!(tree.prove(size, size), None);
        }
    }

    #[test]
    fn growth_is_proved_and_a_fork_is_not() {
        let (tree, mut other) = (grown(70), grown(20));
        other.append(b"another entry");
        for size in 1..=70 {
            let now = (size, tree.root_at(size).unwrap());
            for old in 1..=size {
                let then = (old, tree.root_at(old).unwrap());
                let proof = tree.prove_growth(old, size).unwrap();
                assert!(leads_on(then, now, &proof), "{old} to {size}");
                assert!(old == size || !leads_on((old, tree.subtree(0, 0).unwrap()), now, &proof) || old == 1);
                assert!(proof.is_empty() || !leads_on(then, now, &proof[1..]));
            }
        }
        let forked = (21, other.root());
        let proof = tree.prove_growth(21, 70).unwrap();
        assert!(!leads_on(forked, (70, tree.root()), &proof));
        assert!(!leads_on((0, tree.root_at(0).unwrap()), (70, tree.root()), &[]));
        assert!(!leads_on((70, tree.root()), (21, other.root()), &[]));
    }
}
