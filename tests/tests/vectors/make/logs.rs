//! Whole logs: good ones, and each way in which one can be no log.

use std::collections::BTreeMap;

use seal::{digest::Sha256Digest, statement::StatementKind};
use server::log::{CHECKPOINT, Entry, EntryKind, ISSUER, LOG_KEY, REVOKED, ROOT, statement_path};

use super::{
    firm::{ENTERED, at},
    folder::{Folder, nothing},
    scene::{CURRENT, LOG_SEED, Scene, issued, log_key, publish, receipt},
};
use crate::manifest::{Brought, Firm};

pub fn add(folder: &mut Folder, scene: &Scene) {
    let key = "trust/log.pub";
    let entries = entries(scene);
    let good = publish(&entries, LOG_SEED);
    let mut put = |name: &str, files: &BTreeMap<String, Vec<u8>>, seen, expected, shows: &str| {
        folder.log(name, files, (key, seen, expected), shows);
    };
    put("good", &good, None, "good", "one entry of each kind, and its neighbours");
    put("nothing", &publish(&[], LOG_SEED), None, "good", "a log without an entry");
    let mut grown = entries.clone();
    grown.push(later(1));
    let seen = Some("logs/good/checkpoint");
    put("grown", &publish(&grown, LOG_SEED), seen, "good", "the same log with one more entry");
    let many: Vec<String> = (0..300).map(|nth| issued(nth).to_text()).collect();
    put("two-bundles", &publish(&many, LOG_SEED), None, "good", "more entries than a bundle holds");

    put("shorter", &publish(&entries[..4], LOG_SEED), seen, "forked", "fewer entries than the reader has seen");
    let mut forked = grown.clone();
    forked.remove(0);
    forked.push(later(2));
    put("forked", &publish(&forked, LOG_SEED), seen, "forked", "other entries than the reader has seen");
    put("foreign", &publish(&entries, LOG_SEED + 90), None, "foreign", "the head is signed with another key");
    let spoil = |path: &str, at: usize| {
        let mut files = good.clone();
        files.get_mut(path).unwrap()[at] ^= 1;
        files
    };
    let bundle = format!("tile/entries/000.p/{}", entries.len());
    let tile = format!("tile/0/000.p/{}", entries.len());
    let digit = 2 + entries[0].find("issued\n").unwrap() + "issued\n".len();
    put("entry-changed", &spoil(&bundle, digit), None, "root", "a digit of an entry is another");
    put("entry-header", &spoil(&bundle, 2), None, "entry", "the header of an entry is another");
    put("bundle-length", &spoil(&bundle, 1), None, "form", "a length before an entry is another");
    put("tile-changed", &spoil(&tile, 40), None, "form", "a hash of a tile is another");
    let mut missing = good.clone();
    missing.remove(&tile);
    put("tile-missing", &missing, None, "read", "a tile is not there");
    let mut late = entries.clone();
    late.swap(0, 5);
    put("backwards", &publish(&late, LOG_SEED), None, "backwards", "a time before that of the entry before it");
    let mut noise = entries.clone();
    "an advertisement\n".clone_into(&mut noise[2]);
    put("advertisement", &publish(&noise, LOG_SEED), None, "entry", "a line that is no entry, under a good head");
    let mut head = good.clone();
    head.insert(CHECKPOINT.to_owned(), good[CHECKPOINT].iter().copied().filter(|byte| *byte != b'=').collect());
    put("head-malformed", &head, None, "head", "a head whose base64 lacks its padding");
    firms(folder, scene, &good);
}

/// The report and a reader who goes by what the firm shows.
fn firms(folder: &mut Folder, scene: &Scene, good: &BTreeMap<String, Vec<u8>>) {
    let pem = scene.say(StatementKind::Withdrawn, &scene.nadia, &scene.house);
    let statement = statement_path(&Sha256Digest::of(pem.as_bytes()));
    let mut papers: BTreeMap<String, Vec<u8>> = good.clone();
    papers.insert(ROOT.to_owned(), scene.house.root.to_pem().into_bytes());
    papers.insert(ISSUER.to_owned(), scene.house.issuer.to_pem().into_bytes());
    papers.insert(REVOKED.to_owned(), scene.house.list(3, CURRENT, &[]).into_bytes());
    papers.insert(LOG_KEY.to_owned(), format!("{}\n", log_key().to_text()).into_bytes());
    let mut put = |name: &str, papers: &BTreeMap<String, Vec<u8>>, (answer, headline), shows: &str| {
        let place = format!("firms/{name}");
        let files = papers.iter().map(|(path, bytes)| folder.put(&format!("{place}/{path}"), bytes)).collect();
        let reader = Brought { firm: Some(Firm { folder: place, files }), ..nothing() };
        let answers = (["-", "-", "-", answer], headline);
        folder.again(name, "reports/receipt.pdf.gz", &reader, answers, shows);
    };
    let shows = "the log speaks of a withdrawal, and the statement is not shown";
    put("firm-holds-back", &papers, ("?withdrawals-not-checked", "genuine-standing-not-checked"), shows);
    papers.insert(statement, pem.into_bytes());
    let shows = "the log speaks of a withdrawal, and the statement is there";
    put("firm-withdrawn", &papers, ("!withdrawn", "genuine-but-withdrawn"), shows);
    papers.retain(|path, _| !path.contains('/') && path != CHECKPOINT);
    papers.extend(publish(&entries(scene)[..3], LOG_SEED));
    put("firm-good", &papers, ("-", "genuine"), "a log that speaks of no statement");
}

fn later(nth: u64) -> String {
    Entry { at: at("2026-11-26T08:00:00Z"), ..issued(nth) }.to_text()
}

/// Two other reports, ours, its withdrawal, another's supersession, a revocation.
fn entries(scene: &Scene) -> Vec<String> {
    let report = scene.identity();
    let entry = |kind, time| Entry::new(kind, at(time)).to_text();
    let pem = scene.say(StatementKind::Withdrawn, &scene.nadia, &scene.house);
    let statement = Sha256Digest::of(pem.as_bytes());
    let signature = receipt(&scene.real.sealed).entry.signature;
    let EntryKind::Issued { report: other, .. } = issued(1).kind else { return Vec::new() };
    let certificate = Sha256Digest::of(scene.tomas.certificate.as_der());
    vec![
        issued(0).to_text(),
        issued(1).to_text(),
        entry(EntryKind::Issued { report, signature }, ENTERED),
        entry(EntryKind::Withdrawn { report, statement }, "2026-11-25T09:00:00Z"),
        entry(EntryKind::Superseded { report: other, by: report, statement }, "2026-11-25T09:00:00Z"),
        entry(EntryKind::Revoked { certificate }, "2026-11-25T09:30:00Z"),
    ]
}
