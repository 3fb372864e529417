//! The byte range, the signature string and the hole between the two ranges.

use seal::file::{FaultCode as C, ROOM_BYTES};

use crate::draft::{DER, Draft, PLACEHOLDER, fill, replace_once, room, sealed, with_byte_range};
use crate::{Attack, attack};

fn ranged(name: &'static str, code: C, range: impl Fn(usize, usize, usize) -> String) -> Attack {
    let file = sealed();
    let (start, end) = room(&file);
    attack(name, code, with_byte_range(&file, &range(start, end, file.len() - end)))
}

/// The entry is written anew and the file assembled around it, so that only the entry is wrong.
fn entry(name: &'static str, code: C, entry: &str) -> Attack {
    let file = Draft::valid().swap("signature", &format!("/ByteRange{PLACEHOLDER}"), entry).assemble();
    attack(name, code, fill(&file, &DER))
}

pub(crate) fn byte_ranges() -> Vec<Attack> {
    let indirect = Draft::valid()
        .add("range", "[0 1 2 3]")
        .swap("signature", &format!("/ByteRange{PLACEHOLDER}"), "/ByteRange @range@")
        .assemble();
    let indirect_number =
        Draft::valid().add("number", " 7 ").swap("signature", PLACEHOLDER, "[0 1000 @number@ 1000]").assemble();
    let elsewhere = Draft::valid().extend("info", "/ByteRange[0 1 2 3]").seal();
    vec![
        entry("missing", C::ByteRangeMissing, ""),
        entry("null", C::ByteRangeNull, "/ByteRange null"),
        entry("a string", C::ByteRangeMalformed, "/ByteRange(0 1 2 3)"),
        entry("a name among the numbers", C::ByteRangeMalformed, "/ByteRange[0 1/N 3]"),
        attack("indirect", C::ByteRangeIndirect, indirect),
        attack("a number is indirect", C::ByteRangeIndirect, indirect_number),
        attack("a second one elsewhere", C::ByteRangeElsewhere, elsewhere),
        entry("three numbers", C::ByteRangeCount, "/ByteRange[0 1 2]"),
        entry("six numbers", C::ByteRangeCount, "/ByteRange[0 1 2 3 4 5]"),
        entry("no number", C::ByteRangeCount, "/ByteRange[]"),
        ranged("zeros", C::ByteRangeZeros, |_, _, _| "[0 0 0 0]".into()),
        ranged("first offset 1", C::ByteRangeStart, |a, b, c| format!("[1 {} {b} {c}]", a - 1)),
        ranged("negative offset", C::ByteRangeNegative, |a, b, c| format!("[-1 {a} {b} {c}]")),
        ranged("negative length", C::ByteRangeNegative, |a, b, c| format!("[0 {a} {b} -{c}]")),
        ranged("real", C::ByteRangeReal, |a, b, c| format!("[0 {a}.5 {b} {c}]")),
        ranged("beyond 64 bits", C::ByteRangeOverflow, |a, b, _| format!("[0 {a} {b} 9223372036854775808]")),
        ranged("sum beyond 64 bits", C::ByteRangeOverflow, |_, b, _| format!("[0 1 {b} 9223372036854775807]")),
        ranged("beyond the file", C::ByteRangeOverflow, |a, b, c| format!("[0 {a} {b} {}]", c + 1)),
        ranged("overlapping", C::ByteRangeOverlap, |a, b, c| format!("[0 {a} {} {}]", a - 10, b + c - a + 10)),
        ranged("reversed", C::ByteRangeReversed, |_, b, c| format!("[0 {} 0 {b}]", b + c)),
        ranged("everything, also the signature", C::ByteRangeGap, |_, b, c| format!("[0 {b} {b} {c}]")),
        ranged("gap without the brackets", C::ByteRangeGap, |a, b, c| format!("[0 {} {} {}]", a + 1, b - 1, c + 1)),
        ranged("gap begins earlier", C::ByteRangeGap, |a, b, c| format!("[0 {} {b} {c}]", a - 9)),
        ranged("gap ends later", C::ByteRangeGap, |a, b, c| format!("[0 {a} {} {}]", b + 30, c - 30)),
        ranged("last bytes not covered", C::ByteRangeEnd, |a, b, c| format!("[0 {a} {b} {}]", c - 6)),
    ]
}

/// The file with another signature string; the byte range is right for it.
fn contents_of(string: &str) -> Vec<u8> {
    let zeros = format!("<{}>", "00".repeat(ROOM_BYTES));
    let draft = Draft::valid().swap("signature", &zeros, string);
    let file = draft.assemble();
    if string.starts_with('<') {
        draft.prepare()
    } else {
        with_byte_range(&file, &format!("[0 1000 1002 {}]", file.len() - 1002))
    }
}

pub(crate) fn contents() -> Vec<Attack> {
    let digits = "0".repeat(2 * ROOM_BYTES - 8);
    let zeros = format!("<{}>", "00".repeat(ROOM_BYTES));
    let missing = Draft::valid().swap("signature", &format!("/Contents{zeros}"), "").assemble();
    let indirect = Draft::valid()
        .add("contents", &zeros)
        .swap("signature", &format!("/Contents{zeros}"), "/Contents @contents@")
        .assemble();
    vec![
        attack("missing", C::ContentsMissing, missing),
        attack("null", C::ContentsNull, contents_of(" null")),
        attack("indirect", C::ContentsIndirect, indirect),
        attack("a plain string", C::ContentsNotHex, contents_of("(0\x030)")),
        attack("empty", C::ContentsEmpty, contents_of("<>")),
        attack("odd", C::ContentsOdd, contents_of(&format!("<{digits}3000000>"))),
        attack("a digit that is none", C::ContentsNotHex, contents_of(&format!("<300x0000{digits}>"))),
        attack("white space", C::ContentsNotHex, contents_of(&format!("<3000 000{digits}>"))),
        attack("upper-case digits", C::ContentsNotHex, contents_of(&format!("<300202AB{digits}>"))),
        attack("a smaller room", C::ContentsRoom, contents_of(&format!("<{digits}>"))),
        attack("a larger room", C::ContentsRoom, contents_of(&format!("<{digits}{digits}>"))),
        attack("BER with open length", C::ContentsNotDer, fill(&sealed(), &[0x30, 0x80, 2, 1, 5, 0, 0])),
        attack("a longer length than needed", C::ContentsNotDer, fill(&sealed(), &[0x30, 0x81, 3, 2, 1, 5])),
        attack("longer than the room", C::ContentsNotDer, fill(&sealed(), &[0x30, 0x82, 0x40, 0])),
        attack("no sequence", C::ContentsNotDer, fill(&sealed(), &[0x31, 3, 2, 1, 5])),
        attack("zeros before the signature", C::ContentsNotDer, fill(&sealed(), &[0, 0x30, 3, 2, 1, 5])),
        attack("bytes in the padding", C::ContentsPadding, fill(&sealed(), &[0x30, 3, 2, 1, 5, 0, 0, 0x50, 0x4B])),
    ]
}

pub(crate) fn planted() -> Vec<Attack> {
    let file = sealed();
    let (start, end) = room(&file);
    let tail = file.len() - end;

    // The second range is moved back and the gap filled: offsets and table stay as signed.
    let plant = b"/Planted(something)";
    let mut shadow = [&file[..end], plant, &file[end..]].concat();
    shadow = with_byte_range(&shadow, &format!("[0 {start} {} {tail}]", end + plant.len()));

    let object = b"\n3 0 obj\n<</Type/Page>>\nendobj\n";
    let mut foreign = [&file[..end], object, &file[end..]].concat();
    foreign = with_byte_range(&foreign, &format!("[0 {start} {} {tail}]", end + object.len()));

    // The room is closed early and the rest of it used for something else.
    let early = replace_once(&file, b"3003020105000000", b"3003020105>/N(0)");

    vec![
        attack("an entry in the hole", C::ByteRangeHole, shadow),
        attack("an object in the hole", C::ByteRangeHole, foreign),
        attack("the room closed early", C::ByteRangeHole, early),
    ]
}
