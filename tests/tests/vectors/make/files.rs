//! Files whose bytes are not those that were signed, or not of the profile.

use seal::file::{ROOM_BYTES, SealedFile};
use sha2::{Digest as _, Sha512};

use super::{
    folder::{Folder, broken},
    report::{find, find_object, replace_object},
    scene::Scene,
    signature::Signature,
};

pub fn add(folder: &mut Folder, scene: &Scene) {
    changed(folder, scene);
    appended(folder, scene);
    ranges(folder, scene);
    rooms(folder, scene);
    profile(folder, scene);
}

fn put(folder: &mut Folder, scene: &Scene, (name, code): (&str, &'static str), bytes: &[u8], shows: &str) {
    folder.report(name, bytes, &scene.full, (broken(code), "do-not-rely"), shows);
}

/// Bytes that changed after signing.
fn changed(folder: &mut Folder, scene: &Scene) {
    let flipped = |at: usize| {
        let mut bytes = scene.small.sealed.clone();
        bytes[at] ^= 1;
        bytes
    };
    let file = SealedFile::read(&scene.small.sealed).unwrap();
    let title = find(&scene.small.sealed, b"<dc:title>") + 60;
    let shows = "one bit of the file's description of itself is turned";
    put(folder, scene, ("flipped-description", "!digest-differs"), &flipped(title), shows);
    let photograph = find(&scene.small.sealed, &scene.visit.copies[0]) + 100;
    put(
        folder,
        scene,
        ("flipped-photograph", "!digest-differs"),
        &flipped(photograph),
        "one bit of a photograph is turned",
    );
    let page = file.objects().find(file.pages()[0]).unwrap();
    let contents = page.value.as_dictionary().unwrap().find("Contents").unwrap().as_reference().unwrap();
    let object = file.objects().find(contents).unwrap();
    // The last byte of the data is part of zlib's sum.
    let end = object.span.end - b"\nendstream \nendobj\n".len() - 1;
    put(folder, scene, ("flipped-page", "!decompression-failed"), &flipped(end), "one bit of a page's data is turned");
    let mut other = super::report::Visit::new();
    other.record.salt = model::Salt::new([6; 16]);
    let exchanged = other.draft();
    let moved = SealedFile::read(&exchanged).unwrap().with_signature(file.signature().unwrap()).unwrap();
    put(folder, scene, ("record-exchanged", "!digest-differs"), &moved, "another record, under the old signature");
    put(folder, scene, ("prepared", "!not-sealed"), &scene.small.prepared, "prepared, and never sealed");
    put(folder, scene, ("empty", "!truncated"), b"", "no byte at all");
    put(folder, scene, ("no-report", "!header-missing"), b"an invoice, perhaps\n", "another kind of file");
    let cut = &scene.small.sealed[..scene.small.sealed.len() - 40];
    put(folder, scene, ("cut", "!truncated"), cut, "the last forty bytes are missing");
    let half = &scene.small.sealed[..photograph];
    put(folder, scene, ("cut-in-photograph", "!truncated"), half, "the file ends inside a photograph");
}

/// Bytes before and after.
fn appended(folder: &mut Folder, scene: &Scene) {
    let with = |more: &[u8]| [&scene.small.sealed[..], more].concat();
    put(folder, scene, ("after-newline", "!bytes-after-end"), &with(b"\n"), "a newline after the end");
    put(folder, scene, ("after-zeros", "!bytes-after-end"), &with(&[0; 9]), "zeros after the end");
    let update =
        "\n3 0 obj\n<<>>\nendobj\nxref\n3 1\n0000000000 00000 n \ntrailer\n<</Size 16/Prev 9>>\nstartxref\n0\n%%EOF";
    let shows = "a second revision after the end, as editors append it";
    put(folder, scene, ("after-update", "!incremental-update"), &with(update.as_bytes()), shows);
    let second = with(b"\n%PDF-1.7\n%%EOF");
    put(folder, scene, ("after-document", "!second-document"), &second, "a second document after the end");
    let before = [b"\n", &scene.small.sealed[..]].concat();
    put(folder, scene, ("before", "!header-not-at-start"), &before, "a byte before the header");
}

/// Byte ranges that cover something else; the rest of the file stays.
fn ranges(folder: &mut Folder, scene: &Scene) {
    let range = SealedFile::read(&scene.small.sealed).unwrap().byte_range().clone();
    let (a, b, c) = (range.before.end, range.after.start, range.after.len());
    let mut spell = |name: &str, code, numbers: [usize; 4], shows: &str| {
        let at = find(&scene.small.sealed, b"/ByteRange[") + b"/ByteRange[".len();
        let width = find(&scene.small.sealed[at..], b"]");
        let spelt = numbers.map(|number| number.to_string()).join(" ");
        let mut bytes = scene.small.sealed.clone();
        bytes[at..at + width].copy_from_slice(format!("{spelt:<width$}").as_bytes());
        put(folder, scene, (name, code), &bytes, shows);
    };
    spell(
        "range-gap",
        "!byte-range-gap",
        [0, a - 9, b, c],
        "the byte range leaves out nine bytes before the signature",
    );
    spell("range-start", "!byte-range-start", [1, a - 1, b, c], "the byte range begins at byte 1");
    spell("range-end", "!byte-range-end", [0, a, b, c - 5], "the byte range ends before the file");
    spell("range-beyond", "!byte-range-overflow", [0, a, b, c + 5], "the byte range goes beyond the file");
    spell("range-overlap", "!byte-range-overlap", [0, a, a - 5, c], "the two parts of the byte range overlap");
    spell("range-zeros", "!byte-range-zeros", [0; 4], "the byte range covers nothing");
    let hole = b"/Location(elsewhere)";
    let mut bytes = [&scene.small.sealed[..b], hole, &scene.small.sealed[b..]].concat();
    let at = find(&bytes, b"/ByteRange[") + b"/ByteRange[".len();
    let width = find(&bytes[at..], b"]");
    let spelt = format!("0 {a} {} {c}", b + hole.len());
    bytes[at..at + width].copy_from_slice(format!("{spelt:<width$}").as_bytes());
    let shows = "an entry beside the signature that it does not cover; everything that it covers is as signed";
    put(folder, scene, ("range-hole", "!byte-range-hole"), &bytes, shows);
}

/// What stands in the room.
fn rooms(folder: &mut Folder, scene: &Scene) {
    let at = find(&scene.small.sealed, b"/Contents<") + b"/Contents<".len();
    let mut padded = scene.small.sealed.clone();
    padded[at + 2 * ROOM_BYTES - 1] = b'1';
    put(folder, scene, ("room-padding", "!contents-padding"), &padded, "the last byte of the room is not zero");
    let mut upper = scene.small.sealed.clone();
    let letter = at + upper[at..].iter().position(|byte| *byte == b'a').unwrap();
    upper[letter] = b'A';
    put(folder, scene, ("room-upper-case", "!contents-not-hex"), &upper, "an upper-case digit in the room");
    let mut odd = scene.small.sealed.clone();
    odd[at] = b'4';
    put(folder, scene, ("room-no-sequence", "!contents-not-der"), &odd, "the room does not begin with a sequence");
}

/// Files that break one rule of the profile and are signed so, with the right key.
fn profile(folder: &mut Folder, scene: &Scene) {
    let mut edit = |name: &str, code, from: &str, to: &str, shows: &str| {
        put(folder, scene, (name, code), &seal(scene, &replace(scene, from, to)), shows);
    };
    edit(
        "profile-open-action",
        "!open-action",
        "/Lang(",
        "/OpenAction<</S/JavaScript/JS(0)>>/Lang(",
        "an action at opening",
    );
    edit("profile-layers", "!hidden-layers", "/Lang(", "/OCProperties<<>>/Lang(", "layers that can be hidden");
    edit("profile-key-twice", "!key-doubled", "/Lang(en-GB)", "/Lang(en-GB)/Lang(de)", "a key stands twice");
    edit("profile-key-escaped", "!name-escaped", "/Lang(", "/L#61ng(", "a name with an escape");
    edit("profile-catalog-key", "!catalog-entry", "/Lang(", "/URI<<>>/Lang(", "a key that the catalog does not have");
    edit("profile-comment", "!comment", "/Lang(", "%\n/Lang(", "a comment in the catalog");
    edit("profile-white-space", "!white-space", "/Lang(", " /Lang(", "a space where none is written");
    edit("profile-number", "!number-malformed", "/SigFlags 3", "/SigFlags 03", "a number with a zero before it");
    edit("profile-flags", "!signature-flags", "/SigFlags 3", "/SigFlags 1", "the form allows later saves that rewrite");
    edit("profile-changes", "!doc-mdp", "/P 1/", "/P 2/", "the signature permits changes");
    edit("profile-hidden-field", "!form-malformed", "/F 132", "/F 134", "the signature's field is hidden");
    edit(
        "profile-attachment-name",
        "!attachment-renamed",
        "/F(record.json)",
        "/F(other.json)",
        "another name for the record",
    );
    edit(
        "profile-sub-filter",
        "!signature-entry",
        "/ETSI.CAdES.detached",
        "/adbe.pkcs7.detached",
        "another kind of signature",
    );
    let metadata = &scene.small.prepared[find(&scene.small.prepared, b"/Metadata ")..];
    let entry = std::str::from_utf8(&metadata[..=find(metadata, b"R")]).unwrap().to_owned();
    edit("profile-unreferenced", "!object-unreferenced", &entry, "", "an object that nothing refers to");
    let file = SealedFile::read(&scene.small.prepared).unwrap();
    let table = find(&scene.small.prepared, b"xref\n0 ");
    let mut bytes = scene.small.prepared.clone();
    let row = table + find(&bytes[table..], b" 00000 n ") - 1;
    bytes[row] = if bytes[row] == b'9' { b'8' } else { bytes[row] + 1 };
    let shows = "the table leads to another place than the first object's";
    put(folder, scene, ("profile-offset", "!xref-offset"), &seal(scene, &bytes), shows);
    let first = find_object(&file, |object, _| object.number == 2).span.clone();
    let old = &scene.small.prepared[first.clone()];
    let doubled = [b"1 0 obj\n<<>>\nendobj\n", old].concat();
    let bytes = replace_object(&scene.small.prepared, first, &doubled);
    put(folder, scene, ("profile-object-twice", "!object-doubled"), &seal(scene, &bytes), "an object is defined twice");
}

/// The prepared file with a text in the object that has it replaced, and all offsets put right.
fn replace(scene: &Scene, from: &str, to: &str) -> Vec<u8> {
    let prepared = &scene.small.prepared;
    let file = SealedFile::read(prepared).unwrap();
    let at = find(prepared, from.as_bytes());
    let object = find_object(&file, |object, _| object.span.contains(&at));
    let span = object.span.clone();
    let after = at + from.len();
    let new = [&prepared[span.start..at], to.as_bytes(), &prepared[after..span.end]].concat();
    replace_object(prepared, span, &new)
}

/// Fills the room by hand: our own writer seals nothing of the kind.
fn seal(scene: &Scene, prepared: &[u8]) -> Vec<u8> {
    let room = find(prepared, b"/Contents<0000") + b"/Contents<".len();
    let end = room + 2 * ROOM_BYTES;
    let digest = Sha512::new().chain_update(&prepared[..room - 1]).chain_update(&prepared[end + 1..]).finalize();
    let [ines, issuer, root] = scene.certificates();
    let der = Signature::valid(&digest, [ines, issuer, root], super::firm::key(scene.ines.seed)).to_der();
    let mut bytes = prepared.to_vec();
    bytes[room..room + 2 * der.len()].copy_from_slice(hex::encode(der).as_bytes());
    bytes
}
