//! Files that are signed with the right key and whose record is not what it should be.

use seal::{file::SealedFile, sealing::seal_file};

use super::{
    folder::Folder,
    report::{Visit, draft, find, find_object, replace_stream},
    scene::Scene,
};

pub fn add(folder: &mut Folder, scene: &Scene) {
    let signer = scene.house.signer(&scene.ines);
    let mut put = |name: &str, prepared: Vec<u8>, code: &'static str, shows: &str| {
        let sealed = seal_file(prepared, &signer).unwrap();
        let headline = if code.starts_with('?') { "cannot-be-fully-confirmed" } else { "do-not-rely" };
        folder.report(name, &sealed, &scene.full, ([code, "-", "?no-proof-of-time", "-"], headline), shows);
    };
    put("page-differs", other_page(scene), "!pages-differ", "page 1 is drawn otherwise by one digit, and signed so");
    let shows = "a page by hand beside the record; the vectors without pages of their own rest on this file";
    put("page-by-hand", scene.small.prepared.clone(), "!pages-differ", shows);

    let canonical = String::from_utf8(scene.visit.bytes()).unwrap();
    let by_hand = |record: &str| draft(record.as_bytes(), &scene.visit.copies);
    let swap = |from: &str, to: &str| {
        assert!(canonical.contains(from), "{from}");
        by_hand(&canonical.replacen(from, to, 1))
    };
    put("record-blank", by_hand(&format!(" {canonical}")), "!record-not-canonical", "a blank before the record");
    let spelt = swap("\"diameter_mm\":390,", "\"diameter_mm\":390.0,");
    put("record-number", spelt, "!record-not-canonical", "a number with a superfluous fraction");
    let without = swap("\"most_runout_mm\":null,", "");
    put("record-null-missing", without, "!record-not-canonical", "a key whose value may be null is left out");
    let spelt = swap("T13:10:00+01:00", "T13:10:00.000+01:00");
    put("record-time", spelt, "!record-not-canonical", "a time with a fraction of nothing");
    let author = "\"author\":\"Ines Okafor-Lind\"";
    let rest = canonical.strip_prefix(&format!("{{{author},")).unwrap();
    let order = format!("{{{},{author}}}", rest.strip_suffix('}').unwrap());
    put("record-order", by_hand(&order), "!record-not-canonical", "the keys in another order");
    let doubled = swap("{\"author\":", "{\"author\":\"A\",\"author\":");
    put("record-key-twice", doubled, "!record-malformed", "a key stands twice");
    let unknown = swap("{\"author\":", "{\"approved\":true,\"author\":");
    put("record-key-unknown", unknown, "!record-malformed", "a key that the form does not have");
    let row = swap("\"sequence\":1}", "\"sequence\":2}");
    put(
        "record-contradicts",
        row,
        "!record-malformed",
        "the second record of a device without the digest of its first",
    );
    put("record-cut", by_hand(&canonical[..200]), "!record-malformed", "a record that is cut off");
    let later = swap("rimside.record/1", "rimside.record/2");
    put("record-later-form", later, "?record-form-unknown", "a later form of the record: not wrong, not known");
    put(
        "record-later-pages",
        swap("\"renderer\":1", "\"renderer\":2"),
        "?renderer-unknown",
        "a later form of the pages",
    );
    put("record-later-method", swap("\"method\":1", "\"method\":7"), "?method-unknown", "a later method of reckoning");

    let mut exchanged = scene.small.prepared.clone();
    let at = find(&exchanged, &scene.visit.copies[1]);
    exchanged[at + 100] ^= 1;
    put("photograph-exchanged", exchanged, "!photograph-differs", "a photograph is another than the record lists");
    let mut fewer = Visit::new();
    fewer.record.report_photographs.pop();
    fewer.record.inspection.photographs.pop();
    fewer.record.reckoning = condition::reckon(&fewer.record.inspection);
    put("photograph-unlisted", fewer.draft(), "!photograph-unlisted", "a photograph that the record does not list");
    let mut praise = Visit::new();
    praise.record.reckoning.answer.lead[0].text = "All four discs are as new.".into();
    put("reckoning-differs", praise.draft(), "!reckoning-differs", "an answer that does not follow from the findings");
}

/// The first page with one digit of its drawing changed.
fn other_page(scene: &Scene) -> Vec<u8> {
    let file = SealedFile::read(&scene.real.prepared).unwrap();
    let page = find_object(&file, |object, _| object.number == file.pages()[0]);
    let contents = page.value.as_dictionary().unwrap().find("Contents").unwrap().as_reference().unwrap();
    let mut plain = file.decode_stream(file.objects().find(contents).unwrap()).unwrap();
    let digit = plain.iter().rposition(u8::is_ascii_digit).unwrap();
    plain[digit] = if plain[digit] == b'1' { b'2' } else { b'1' };
    replace_stream(&scene.real.prepared, contents, &plain)
}
