//! What a log and its witness say of the one report.

use chrono::{DateTime, Utc};
use log::{AddCheckpoint, Checkpoint, Entry, EntryKind, LogKey, Receipt, Tree, WitnessKey};
use seal::{digest::Sha256Digest, key::PrivateKey, receipt::LogEntry, sealing::log_entry};

use super::{Seeds, fixture::FixedRng, replace};

const ORIGIN: &str = "log.example/north-bay";

/// A log with its witness.
pub struct Log {
    key: PrivateKey,
    witness: (WitnessKey, PrivateKey),
    at: DateTime<Utc>,
}

impl Log {
    /// It enters and is witnessed at this time alone.
    pub fn begin(at: DateTime<Utc>) -> Self {
        let [key, witness] = ["log", "witness"].map(|name| PrivateKey::generate(&mut FixedRng::new(name)));
        let name = WitnessKey::new("witness.example/w1", witness.public()).unwrap();
        Self { key, witness: (name, witness), at }
    }

    /// Its verifier key and that of its witness, as a reader has them.
    pub fn keys(&self) -> [String; 2] {
        [LogKey::new(ORIGIN, self.key.public()).unwrap().to_text(), self.witness.0.to_text()]
    }

    fn head(&self, tree: &Tree) -> Checkpoint {
        let head = Checkpoint::sign(ORIGIN, tree.size(), tree.root(), &self.key);
        let line = head.cosign(&self.witness.0, &self.witness.1, self.at).unwrap();
        head.with_signatures(&line).unwrap()
    }

    /// The receipt of this entry, the last but one of so many.
    fn receipt(&self, entry: &LogEntry, size: u64) -> (Tree, Receipt) {
        let mut tree = Tree::default();
        let index = size.saturating_sub(2);
        for nth in 0..size {
            let other = format!("entry {nth}");
            tree.append(if nth == index { entry.to_text() } else { other }.as_bytes());
        }
        let proof = tree.prove(index, size).unwrap();
        let checkpoint = self.head(&tree);
        (tree, Receipt { entry: entry.clone(), index, proof, checkpoint })
    }

    /// What it says, and what it never said.
    pub fn receipts(&self, signed: &[u8]) -> Seeds {
        let entry = log_entry(signed, self.at).unwrap();
        let (_, first) = self.receipt(&entry, 1);
        let (tree, later) = self.receipt(&entry, 6);
        let (first, later, head) = (first.to_text(), later.to_text(), later.checkpoint);
        let stranger = Receipt::issue_first(entry.clone(), ORIGIN, &self.witness.1).to_text();
        let revoked = Entry::new(EntryKind::Revoked { certificate: Sha256Digest::of(b"a certificate") }, self.at);
        let [log, witness] = self.keys();
        let swap = |from: &str, to: &str| replace(&later, from, to);
        vec![
            ("valid-first", first.clone().into_bytes()),
            ("valid-later", later.clone().into_bytes()),
            ("other-key", stranger.into_bytes()),
            ("other-index", swap("index 4", "index 3")),
            ("other-origin", later.replace(ORIGIN, "log.example/south-bay").into_bytes()),
            ("index-padded", swap("index 4", "index 04")),
            ("header", swap("@v1", "@v2")),
            ("no-proof", replace(&first, "index 0", "index 1")),
            ("cut", later.as_bytes()[..later.len() / 2].to_vec()),
            ("trailing", [later.as_bytes(), b"\n"].concat()),
            ("carriage-return", later.replace('\n', "\r\n").into_bytes()),
            ("bytes", [later.as_bytes(), b"\xff"].concat()),
            ("head-alone", head.as_str().as_bytes().to_vec()),
            ("head-for-a-witness", AddCheckpoint::new(&tree, 3, head).unwrap().to_text().into_bytes()),
            ("entry-alone", entry.to_text().into_bytes()),
            ("entry-revoked", revoked.to_text().into_bytes()),
            ("bundle", b"\0\x05entry\0\0\0\x01\n".to_vec()),
            ("log-key", log.into_bytes()),
            ("witness-key", witness.clone().into_bytes()),
            (
                "policy",
                format!("# ours\nwitness w1 {witness} https://witness.example/\ngroup all any w1\nquorum all\n")
                    .into_bytes(),
            ),
            ("empty", Vec::new()),
        ]
    }
}
