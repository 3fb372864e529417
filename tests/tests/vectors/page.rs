//! The examples of `docs/format.md`, read by the code that reads the real ones.

use rimside_tests::top;
use seal::{
    digest::Sha256Digest,
    file::{FaultCode, SealedFile},
    receipt::{Checkpoint, LogKey, Receipt, WitnessKey},
};
use server::log::{Entry, EntryKind, Tree, list_tiles};

use crate::unpack;

fn page() -> String {
    std::fs::read_to_string(top().join("docs/format.md")).unwrap()
}

/// The blocks of this kind, in their order.
fn examples(kind: &str) -> Vec<String> {
    let page = page();
    let mark = format!("\n```{kind}\n");
    let blocks: Vec<String> =
        page.split(&mark).skip(1).map(|rest| format!("{}\n", rest.split("\n```").next().unwrap())).collect();
    assert!(!blocks.is_empty(), "the page has no example of {kind}");
    blocks
}

fn one(kind: &str) -> String {
    let [example] = &examples(kind)[..] else { panic!("the page has several examples of {kind}") };
    example.clone()
}

#[test]
fn the_entries_come_to_the_hashes_and_the_checkpoint_of_the_page() {
    let entries = examples("entry");
    let mut tree = Tree::default();
    for entry in &entries {
        let read = Entry::parse(entry.as_bytes()).unwrap();
        assert_eq!(read.to_text(), *entry);
        tree.append(entry.as_bytes());
    }
    let hashes: Vec<_> = (0..tree.size()).map(|nth| tree.subtree(0, nth).unwrap().to_hex()).collect();
    assert_eq!(hashes, one("hashes").lines().collect::<Vec<_>>());
    assert!(page().contains(&format!("the root `{}`", tree.root())));
    let checkpoint = Checkpoint::parse(&one("checkpoint")).unwrap();
    assert_eq!((checkpoint.size(), checkpoint.root()), (tree.size(), tree.root()));
    let key = LogKey::parse(one("log-key").trim_end()).unwrap();
    assert!(checkpoint.names(&key) && checkpoint.is_signed_by(&key));
    let witness = WitnessKey::parse(one("witness-key").trim_end()).unwrap();
    assert_eq!(checkpoint.cosigned_at(&witness).unwrap(), Some(1_795_770_000));
    assert!(page().contains("The line above says 1795770000, that is 2026-11-27T09:00:00Z."));
    assert_eq!(chrono::DateTime::from_timestamp(1_795_770_000, 0).unwrap().to_rfc3339(), "2026-11-27T09:00:00+00:00");
    let bundle = list_tiles(&tree, 0, |nth| Ok::<_, ()>(entries[nth as usize].clone().into_bytes())).unwrap();
    let bundle = bundle.iter().find(|file| file.path == "tile/entries/000.p/2").unwrap();
    let begin: Vec<String> = bundle.bytes[..9].iter().map(|byte| format!("{byte:02x}")).collect();
    assert!(page().contains(&format!("begins `{}`", begin.join(" "))));
}

#[test]
fn the_receipt_of_the_page_proves_its_entry() {
    let receipt = Receipt::parse(&one("receipt")).unwrap();
    assert_eq!(receipt.to_text(), one("receipt"));
    assert_eq!(receipt.checkpoint.as_str(), one("checkpoint"));
    assert_eq!(receipt.entry.to_text(), examples("entry")[0]);
    let key = LogKey::parse(one("log-key").trim_end()).unwrap();
    // The digests of the example are those of two short texts.
    let logged = receipt.check(receipt.entry.report, b"a signature", &[key]).unwrap();
    assert_eq!((logged.index, logged.at), (0, "2026-11-24T13:05:00Z".parse().unwrap()));
    assert_eq!(receipt.entry.report.0, Sha256Digest::of(b"a report"));
    let withdrawn = Entry::parse(examples("entry")[1].as_bytes()).unwrap();
    let statement = Sha256Digest::of(b"a statement");
    assert_eq!(withdrawn.kind, EntryKind::Withdrawn { report: receipt.entry.report, statement });
}

#[test]
fn the_json_of_the_page_is_canonical() {
    let example = one("json");
    let value: serde_json::Value = serde_json::from_str(&example).unwrap();
    assert_eq!(model::canonical_json(&value).unwrap(), example.trim_end().as_bytes());
    assert_eq!(value["report"], Sha256Digest::of(b"a report").to_hex());
}

#[test]
fn the_signed_attributes_stand_in_a_file_as_the_page_spells_them() {
    let bytes = unpack("reports/plain.pdf.gz");
    let signature = hex::encode(SealedFile::read(&bytes).unwrap().signature().unwrap());
    let example = one("attributes");
    let (outside, inside) = example.split_once('\n').unwrap();
    assert_eq!(outside, "31 81 ec", "239 bytes with its head, as a set");
    let mut at = signature.find("a081ec").unwrap() + 6;
    for piece in inside.split('<') {
        // A piece of bytes, the words for those that differ from file to file before it.
        let (skipped, bytes) = piece.split_once('>').unwrap_or(("0 bytes", piece));
        at += 2 * skipped.split(' ').next().unwrap().parse::<usize>().unwrap();
        let bytes: String = bytes.chars().filter(char::is_ascii_hexdigit).collect();
        assert!(signature[at..].starts_with(&bytes), "{bytes} does not stand at {at}");
        at += bytes.len();
    }
    assert!(signature.contains("300506032b6570"), "and Ed25519 follows");
}

#[test]
fn every_code_of_the_readers_is_on_the_page() {
    let page = page();
    for code in FaultCode::ALL {
        assert!(page.contains(&format!("`{code}`")), "{code} is not on the page");
    }
}

#[test]
fn every_link_of_the_page_leads_somewhere() {
    for link in page().split("](").skip(1).map(|rest| rest.split(')').next().unwrap().to_owned()) {
        let found = match link.strip_prefix('#') {
            Some(heading) => page().lines().any(|line| {
                let words =
                    line.trim_start_matches('#').trim().to_lowercase().replace(['?', '.'], "").replace(' ', "-");
                line.starts_with('#') && words == heading
            }),
            None => top().join("docs").join(&link).exists(),
        };
        assert!(found, "{link}");
    }
}
