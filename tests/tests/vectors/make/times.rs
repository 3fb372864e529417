//! Receipts, witnesses and timestamp tokens: since when?

use seal::{
    digest::Sha256Digest,
    file::{SealedFile, replace_room},
    receipt::{Checkpoint, Receipt},
    sealing::{log_entry, seal_file},
    signature::{Form, SignedMessage, attach_receipt, attach_timestamp},
};

use super::{
    firm::{ENTERED, at, key},
    folder::{Answers, Folder},
    report::Visit,
    scene::{self, LOG, LOG_SEED, Scene, WITNESSES, receipt, receipt_among, witness},
    signature::timestamp_token,
};
use crate::manifest::Brought;

const PASSED: Answers = ["-"; 4];
/// Of the file by hand: its page does not follow from its record, which changes nothing here.
const PROVEN: (Answers, &str) = (["!pages-differ", "-", "-", "-"], "do-not-rely");

/// The report with this text as its receipt, whatever it is.
fn with_receipt(sealed: &[u8], text: &str) -> Vec<u8> {
    let file = SealedFile::read(sealed).unwrap();
    replace_room(sealed, &attach_receipt(file.signature().unwrap(), text).unwrap()).unwrap()
}

fn with_token(sealed: &[u8], token: &[u8]) -> Vec<u8> {
    let file = SealedFile::read(sealed).unwrap();
    replace_room(sealed, &attach_timestamp(file.signature().unwrap(), token).unwrap()).unwrap()
}

pub fn add(folder: &mut Folder, scene: &Scene) {
    receipts(folder, scene);
    spoilt(folder, scene);
    witnesses(folder, scene);
    tokens(folder, scene);
}

fn receipts(folder: &mut Folder, scene: &Scene) {
    let entry = log_entry(&scene.small.sealed, at(ENTERED)).unwrap();
    let deep = receipt_among(&entry, 299, 300);
    let file = with_receipt(&scene.small.sealed, &deep.to_text());
    folder.report("receipt-deep", &file, &scene.full, PROVEN, "a receipt of the last of 300 entries");
    let first = receipt_among(&entry, 0, 1);
    let file = with_receipt(&scene.small.sealed, &first.to_text());
    folder.report("receipt-first", &file, &scene.full, PROVEN, "the first entry of a log has an empty path");
    let reader = Brought { logs: Vec::new(), ..scene.full.clone() };
    let answers = ["-", "-", "?receipt-log-unknown", "-"];
    let shows = "the reader has no key of the log: its time counts nothing, and fails nothing";
    folder.again("receipt-log-unknown", "reports/receipt.pdf.gz", &reader, (answers, "genuine"), shows);
    let early = Brought { at: "2026-11-24T12:55:00Z".to_owned(), ..scene.full.clone() };
    let shows = "the log's clock is ten minutes ahead: still taken";
    folder.again("receipt-ten-minutes", "reports/receipt.pdf.gz", &early, (PASSED, "genuine"), shows);
    let early = Brought { at: "2026-11-24T12:54:59Z".to_owned(), ..scene.full.clone() };
    let answers = ["-", "-", "!receipt-from-the-future", "-"];
    let shows = "the log's clock is more than ten minutes ahead";
    folder.again("receipt-from-the-future", "reports/receipt.pdf.gz", &early, (answers, "do-not-rely"), shows);
}

fn spoilt(folder: &mut Folder, scene: &Scene) {
    let mut put = |name: &str, text: &str, code: &'static str, shows: &str| {
        let file = with_receipt(&scene.small.sealed, text);
        folder.report(name, &file, &scene.full, (["!pages-differ", "-", code, "-"], "do-not-rely"), shows);
    };
    let receipt = receipt(&scene.small.sealed);
    let mut other = Visit::new();
    other.record.salt = model::Salt::new([6; 16]);
    let another = seal_file(other.draft(), &scene.house.signer(&scene.ines)).unwrap();
    let text = scene::receipt(&another).to_text();
    put("receipt-of-another-report", &text, "!receipt-of-another-report", "the receipt of another report");
    let again = seal_file(scene.small.prepared.clone(), &scene.house.signer(&scene.tomas)).unwrap();
    let text = scene::receipt(&again).to_text();
    let shows = "the receipt of a colleague's signature over the same bytes";
    put("receipt-of-another-signature", &text, "!receipt-of-another-signature", shows);
    let mut broken = receipt.clone();
    broken.proof[0] = Sha256Digest::of(b"no neighbour");
    put("receipt-path", &broken.to_text(), "!receipt-not-included", "a hash of the path is another");
    let mut longer = receipt.clone();
    longer.proof.push(Sha256Digest::of(b"one more"));
    put("receipt-path-longer", &longer.to_text(), "!receipt-not-included", "the path has a hash too many");
    let beyond = Receipt { index: 3, ..receipt.clone() };
    put("receipt-index", &beyond.to_text(), "!receipt-not-included", "the index lies outside of the tree");
    let head = &receipt.checkpoint;
    // Signed by another key under the log's own name and id.
    let false_head = Checkpoint::sign(LOG, head.size(), head.root(), &key(LOG_SEED + 90));
    let spelt = receipt.to_text();
    let own = head.signature_lines().to_owned();
    let swapped = base64_swap(&own, false_head.signature_lines());
    let shows = "another key signed the checkpoint under the log's name and id";
    put("receipt-checkpoint-false", &spelt.replace(&own, &swapped), "!receipt-checkpoint-signature", shows);
    let stranger = Receipt { checkpoint: false_head, ..receipt.clone() };
    put(
        "receipt-malformed",
        &spelt.replacen("index 1", "index 01", 1),
        "!receipt-malformed",
        "an index with a zero before it",
    );
    let text = format!("{}\n", spelt.trim_end());
    let text = text.replacen("extra cml", "extra cmk", 1);
    put("receipt-entry", &text, "!receipt-entry-malformed", "the entry inside has another header");
    let file = with_receipt(&scene.small.sealed, &stranger.to_text());
    let shows = "a log of the same name and another key: not known to the reader";
    let answers = ["!pages-differ", "-", "?receipt-log-unknown", "-"];
    folder.report("receipt-log-namesake", &file, &scene.full, (answers, "do-not-rely"), shows);
}

/// The first line with the signature of the second: the key id stays.
fn base64_swap(own: &str, other: &str) -> String {
    use base64ct::{Base64, Encoding as _};
    let take = |line: &str| {
        let (head, encoded) = line.trim_end().rsplit_once(' ').unwrap();
        (head.to_owned(), Base64::decode_vec(encoded).unwrap())
    };
    let ((head, own), (_, other)) = (take(own), take(other));
    format!("{head} {}\n", Base64::encode_string(&[&own[..4], &other[4..]].concat()))
}

fn witnesses(folder: &mut Folder, scene: &Scene) {
    let keys: Vec<String> = WITNESSES
        .iter()
        .map(|seed| folder.put(&format!("trust/witness-{seed}.pub"), format!("{}\n", witness(*seed).to_text())))
        .collect();
    let reader = |needed| Brought { witnesses: keys.clone(), witnesses_needed: Some(needed), ..scene.full.clone() };
    let signed = |sealed: &[u8], times: &[(u8, &str)]| {
        let mut receipt = receipt(sealed);
        for (seed, time) in times {
            let line = receipt.checkpoint.cosign(&witness(*seed), &key(*seed), at(time)).unwrap();
            receipt.checkpoint = receipt.checkpoint.with_signatures(&line).unwrap();
        }
        receipt
    };
    let (real, small) = (&scene.real.sealed, &scene.small.sealed);
    let times = [(11, "2026-11-24T13:06:00Z"), (12, "2026-11-24T13:07:00Z")];
    let file = with_receipt(real, &signed(real, &times).to_text());
    let genuine = (PASSED, "genuine");
    let shows = "two of the three witnesses have signed the head, and two are needed";
    folder.report("witnessed", &file, &reader(2), genuine, shows);
    let few =
        folder.again("witnesses-too-few", "reports/witnessed.pdf.gz", &reader(3), genuine, "all three are needed");
    few.remark(&["witnesses-too-few"]);
    let shows = "the signer's key was revoked between the log's time and the witnesses': theirs decides";
    let list = scene.revoking(&scene.ines.certificate, "2026-11-24T13:06:30Z");
    let between = Brought { revocation_lists: vec![folder.put("trust/crl-between.pem", list)], ..reader(2) };
    let answers = ["-", "!revoked", "-", "?signer-refused"];
    folder.again("witnessed-revoked", "reports/witnessed.pdf.gz", &between, (answers, "do-not-rely"), shows);
    let once = signed(small, &times[..1]);
    let line = once.checkpoint.signature_lines().lines().last().unwrap();
    let file = with_receipt(small, &once.to_text().replacen(line, &flip(line), 1));
    let answers = ["!pages-differ", "-", "!receipt-witness-signature", "-"];
    let shows = "a false signature under the name and id of a witness";
    folder.report("witness-false", &file, &reader(1), (answers, "do-not-rely"), shows);
    let early = signed(small, &[(11, "2026-11-24T12:00:00Z"), (12, "2026-11-24T12:00:00Z")]);
    let file = with_receipt(&scene.small.sealed, &early.to_text());
    let answers = ["!pages-differ", "-", "!receipt-times-disagree", "-"];
    let shows = "the witnesses had signed an hour before the log says that it entered the report";
    folder.report("witnesses-disagree", &file, &reader(2), (answers, "do-not-rely"), shows);
}

/// A signature line with one bit of its signature turned.
fn flip(line: &str) -> String {
    use base64ct::{Base64, Encoding as _};
    let (head, encoded) = line.rsplit_once(' ').unwrap();
    let mut bytes = Base64::decode_vec(encoded).unwrap();
    *bytes.last_mut().unwrap() ^= 1;
    format!("{head} {}", Base64::encode_string(&bytes))
}

fn tokens(folder: &mut Folder, scene: &Scene) {
    let token_over = |sealed: &[u8]| {
        let file = SealedFile::read(sealed).unwrap();
        timestamp_token(SignedMessage::parse(file.signature().unwrap(), Form::Detached).unwrap().signature())
    };
    let (real, small) = (&scene.real.sealed, &scene.small.sealed);
    let remark = &["timestamp-not-checked"];
    let answers = ["-", "-", "?no-proof-of-time", "-"];
    let stamped = with_token(real, &token_over(real));
    let shows = "a timestamp token over the signature: it belongs here, and who issued it is not judged";
    folder.report("timestamp", &stamped, &scene.full, (answers, "genuine"), shows).remark(remark);
    let both = with_token(&with_receipt(small, &receipt(small).to_text()), &token_over(small));
    let shows = "a receipt and a timestamp token";
    folder.report("receipt-and-timestamp", &both, &scene.full, PROVEN, shows).remark(remark);
    for (name, token, code, shows) in [
        (
            "timestamp-of-another",
            timestamp_token(b"other"),
            "!timestamp-of-another-signature",
            "over another signature",
        ),
        ("timestamp-malformed", vec![0x30, 0], "!timestamp-malformed", "no token at all"),
    ] {
        let file = with_token(small, &token);
        let answers = (["!pages-differ", "-", code, "-"], "do-not-rely");
        folder.report(name, &file, &scene.full, answers, &format!("a timestamp token: {shows}"));
    }
}
