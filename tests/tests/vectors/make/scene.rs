//! What all vectors share: the firms, the report, its log, and a reader who has everything.

use std::collections::BTreeMap;

use seal::{
    certificate::{Certificate, Role},
    digest::{ReportIdentity, Sha256Digest},
    file::SealedFile,
    receipt::{LogEntry, LogKey, Receipt, WitnessKey},
    sealing::{log_entry, seal_file},
    statement::{StatementKind, sign_statement},
};
use server::log::{CHECKPOINT, Checkpoint, Entry, EntryKind, Tree, list_tiles};

use super::{
    firm::{ENTERED, Hired, House, NOW, at, key},
    folder::{Folder, nothing},
    report::Visit,
    signature::Signature,
};
use crate::manifest::Brought;

pub const LOG: &str = "log.example/harbour-vale";
pub const LOG_SEED: u8 = 9;
/// The witnesses' seeds.
pub const WITNESSES: [u8; 3] = [11, 12, 13];
/// The list that is current at [`NOW`].
pub const CURRENT: (&str, &str) = ("2026-11-20T00:00:00Z", "2026-12-20T00:00:00Z");

/// A file before and after its sealing.
pub struct Sealed {
    pub prepared: Vec<u8>,
    pub sealed: Vec<u8>,
}

pub struct Scene {
    pub house: House,
    pub ines: Hired,
    pub tomas: Hired,
    pub nadia: Hired,
    pub visit: Visit,
    /// Drawn from its record, and sealed.
    pub real: Sealed,
    /// By hand, and sealed: everything is right but its page.
    pub small: Sealed,
    /// A reader who has the root, the list and the log's key, and knows of all statements.
    pub full: Brought,
}

impl Scene {
    pub fn new(folder: &mut Folder) -> Self {
        let house = House::found("Harbour & Vale Inspections", 20);
        let ines = house.hire("Ines Okafor-Lind", Role::Inspector, 30);
        let tomas = house.hire("Tomas Reyl", Role::Inspector, 31);
        let nadia = house.hire("Nadia Okoro", Role::Office, 32);
        let visit = Visit::new();
        let [real, small] = [visit.prepare(), visit.draft()].map(|prepared| {
            let sealed = seal_file(prepared.clone(), &house.signer(&ines)).unwrap();
            Sealed { prepared, sealed }
        });
        let full = Brought {
            roots: vec![folder.put("trust/root.pem", house.root.to_pem())],
            revocation_lists: vec![folder.put("trust/crl.pem", house.list(3, CURRENT, &[]))],
            logs: vec![folder.put("trust/log.pub", format!("{}\n", log_key().to_text()))],
            statements_complete_as_of: Some(NOW.to_owned()),
            ..nothing()
        };
        Self { house, ines, tomas, nadia, visit, real, small, full }
    }

    pub fn certificates(&self) -> [&Certificate; 3] {
        [&self.ines.certificate, &self.house.issuer, &self.house.root]
    }

    /// A list of revocations that is current at [`NOW`].
    pub fn revoking(&self, who: &Certificate, since: &str) -> String {
        self.house.list(4, CURRENT, &[(who, since)])
    }

    /// The signature's pieces over the covered bytes of a prepared file.
    pub fn signature(&self, prepared: &[u8]) -> Signature {
        let digest = *SealedFile::read(prepared).unwrap().covered_digest();
        Signature::valid(&digest, self.certificates(), key(self.ines.seed))
    }

    pub fn identity(&self) -> ReportIdentity {
        log_entry(&self.real.sealed, at(NOW)).unwrap().report
    }

    /// A statement of somebody's about the report.
    pub fn say(&self, kind: StatementKind, who: &Hired, house: &House) -> String {
        let when = at("2026-11-25T08:58:00Z");
        let signer = house.signer(who);
        sign_statement(self.identity(), kind, "wrong car", when, &signer).unwrap().to_pem().to_owned()
    }
}

/// The receipt of a report out of a log of three.
pub fn receipt(sealed: &[u8]) -> Receipt {
    receipt_among(&log_entry(sealed, at(ENTERED)).unwrap(), 1, 3)
}

pub fn log_key() -> LogKey {
    LogKey::new(LOG, key(LOG_SEED).public()).unwrap()
}

pub fn witness(seed: u8) -> WitnessKey {
    WitnessKey::new(&format!("witness.example/w{seed}"), key(seed).public()).unwrap()
}

/// The receipt of an entry at a place in a log of so many.
pub fn receipt_among(entry: &LogEntry, index: u64, size: u64) -> Receipt {
    let mut tree = Tree::default();
    for nth in 0..size {
        let text = if nth == index { entry.to_text() } else { issued(nth).to_text() };
        tree.append(text.as_bytes());
    }
    let checkpoint = Checkpoint::sign(LOG, size, tree.root(), &key(LOG_SEED));
    Receipt { entry: entry.clone(), index, proof: tree.prove(index, size).unwrap(), checkpoint }
}

/// The entry of some other report.
pub fn issued(nth: u64) -> Entry {
    let report = ReportIdentity(Sha256Digest::of(format!("report {nth}").as_bytes()));
    let signature = Sha256Digest::of(format!("signature {nth}").as_bytes());
    Entry::new(EntryKind::Issued { report, signature }, at("2026-11-24T08:00:00Z"))
}

/// The files of a log of these entries, its head signed by the key of a seed.
pub fn publish(entries: &[String], seed: u8) -> BTreeMap<String, Vec<u8>> {
    let mut tree = Tree::default();
    for text in entries {
        tree.append(text.as_bytes());
    }
    let entry = |nth: u64| Ok::<_, ()>(entries[nth as usize].clone().into_bytes());
    let mut files: BTreeMap<_, _> =
        list_tiles(&tree, 0, entry).unwrap().into_iter().map(|file| (file.path, file.bytes)).collect();
    let head = Checkpoint::sign(LOG, tree.size(), tree.root(), &key(seed));
    files.insert(CHECKPOINT.to_owned(), head.as_str().as_bytes().to_vec());
    files
}
