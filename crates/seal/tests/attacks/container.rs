//! The file's frame: what stands around it, later revisions, other layouts, tables that lie.

use seal::file::FaultCode as C;

use crate::draft::{Draft, find, replace_once, rfind, sealed, stream};
use crate::{Attack, attack};

pub(crate) fn around() -> Vec<Attack> {
    let file = sealed();
    let with = |before: &[u8], after: &[u8]| [before, &file, after].concat();
    let header = |to: &[u8]| replace_once(&file, b"%PDF-2.0\n%\xBB\xAD\xC0\xDE\n", to);
    vec![
        attack("bytes before the header", C::HeaderNotAtStart, with(b"\n", b"")),
        attack("a web page before the header", C::HeaderNotAtStart, with(b"<!doctype html><!--", b"")),
        attack("a program before the header", C::HeaderNotAtStart, with(b"\x7FELF", b"")),
        attack("no header", C::HeaderMissing, header(b"")),
        attack("not a PDF", C::HeaderMissing, b"PK\x03\x04 this is another kind of file".to_vec()),
        attack("another version", C::HeaderVersion, header(b"%PDF-1.7\n%\xBB\xAD\xC0\xDE\n")),
        attack("a longer header line", C::HeaderVersion, header(b"%PDF-2.0 <script>\n%\xBB\xAD\xC0\xDE\n")),
        attack("another second line", C::HeaderComment, header(b"%PDF-2.0\n%\xE2\xE3\xCF\xD3\n")),
        attack("no second line", C::HeaderComment, header(b"%PDF-2.0\n")),
        attack("nothing", C::Truncated, Vec::new()),
        attack("a cut file", C::Truncated, file[..file.len() / 2].to_vec()),
        attack("one byte fewer", C::Truncated, file[..file.len() - 1].to_vec()),
        attack("a line end after the end", C::BytesAfterEnd, with(b"", b"\n")),
        attack("bytes after the end", C::BytesAfterEnd, with(b"", b"anything")),
        attack("an archive after the end", C::BytesAfterEnd, with(b"", b"PK\x03\x04hidden.exe")),
        attack("a second document", C::SecondDocument, with(b"", &file)),
        attack("a second document after a line end", C::SecondDocument, [&file[..], b"\n", &file].concat()),
    ]
}

pub(crate) fn revisions() -> Vec<Attack> {
    let file = sealed();
    let table = rfind(&file, b"\nxref\n").unwrap() + 1;
    let object = b"\n3 0 obj\n<</Type/Page/Parent 2 0 R/MediaBox[0 0 10 10]>>\nendobj\n";
    let begin = file.len() + object.len();
    let xref = format!("xref\n3 1\n{:010} 00000 n \n", file.len() + 1);
    let trailer = format!("trailer\n<</Root 1 0 R/Size 16/Prev {table}>>\n");
    let end = format!("startxref\n{begin}\n%%EOF");
    let added = |parts: &[&str]| [&file[..], object, parts.concat().as_bytes()].concat();
    let own = "/Prev 42";
    vec![
        attack("a whole revision", C::IncrementalUpdate, added(&[&xref, &trailer, &end])),
        attack("a revision without a table", C::IncrementalUpdate, added(&[&trailer, &end])),
        attack("a revision without a trailer", C::IncrementalUpdate, added(&[&xref, &end])),
        attack("a revision without an end", C::IncrementalUpdate, added(&[&xref, &trailer])),
        attack("only an object", C::IncrementalUpdate, added(&[])),
        attack("only a table", C::IncrementalUpdate, [&file[..], b"\nxref\n0 0\n"].concat()),
        attack("only a trailer", C::IncrementalUpdate, [&file[..], b"\ntrailer\n<<>>"].concat()),
        attack("an earlier revision", C::PreviousRevision, Draft::valid().trailer(own).seal()),
        attack(
            "a table that leads to itself",
            C::PreviousRevision,
            Draft::valid().trailer(&format!("/Prev {}", table + own.len() + 3)).seal(),
        ),
        attack("a hybrid file", C::HybridFile, Draft::valid().trailer("/XRefStm 42").seal()),
        attack("encrypted", C::Encrypted, Draft::valid().trailer("/Encrypt@info@").seal()),
        attack("encrypted, said elsewhere", C::Encrypted, Draft::valid().extend("info", "/Encrypt 1").seal()),
        attack("another entry of the trailer", C::TrailerEntry, Draft::valid().trailer("/Hidden@info@").seal()),
    ]
}

pub(crate) fn layouts() -> Vec<Attack> {
    let file = sealed();
    let info = |body: &[u8]| Draft::valid().set("info", body).seal();
    // A file whose only table is a stream: the plain table is taken away.
    let table = rfind(&file, b"\nxref\n").unwrap() + 1;
    let stream_only = [
        &file[..table],
        b"16 0 obj\n",
        &stream("/Type/XRef/W[1 4 2]/Size 17/Root 1 0 R", &[0; 119]),
        format!("\nendobj\nstartxref\n{table}\n%%EOF").as_bytes(),
    ]
    .concat();
    let first = find(&file, b"1 0 obj\n").unwrap();
    let linearised = [&file[..first], b"1 0 obj\n<</Linearized 1/N 1>>\nendobj\n", &file[first..]].concat();
    let instead = |bytes: &[u8]| [&file[..table], bytes].concat();
    vec![
        attack("a table that is a stream", C::XrefStream, stream_only),
        attack("a stream table besides the plain one", C::XrefStream, info(&stream("/Type/XRef", b""))),
        attack("an object stream", C::ObjectStream, info(&stream("/Type/ObjStm/N 1/First 4", b"9 0 <<>>"))),
        attack("linearised", C::Linearized, info(b"<</Linearized 1/L 1000/H[1 2]/O 3/E 4/N 1/T 5>>")),
        attack("linearised, before the first object", C::Linearized, linearised),
        attack("linearised, nested", C::Linearized, info(b"<</N<</Linearized 1>>>>")),
        attack(
            "bytes between objects",
            C::BytesBetweenObjects,
            replace_once(&file, b"\n3 0 obj", b"\nhidden\n3 0 obj"),
        ),
        attack("a word instead of the table", C::BytesBetweenObjects, instead(b"hidden")),
        attack("digits instead of the table", C::BytesBetweenObjects, instead(&[b'7'; 20])),
        attack("a line end between objects", C::BytesBetweenObjects, replace_once(&file, b"\n3 0 obj", b"\n\n3 0 obj")),
        attack("an object twice", C::ObjectDoubled, replace_once(&file, b"\n4 0 obj", b"\n3 0 obj")),
        attack("an object inserted twice", C::ObjectDoubled, doubled(&file)),
        attack("objects out of order", C::ObjectOutOfOrder, replace_once(&file, b"\n3 0 obj", b"\n4 0 obj")),
        attack("a number skipped", C::ObjectOutOfOrder, replace_once(&file, b"\n15 0 obj", b"\n16 0 obj")),
        attack("a number with a zero", C::ObjectOutOfOrder, replace_once(&file, b"\n3 0 obj", b"\n03 0 obj")),
        attack("object 0", C::ObjectOutOfOrder, replace_once(&file, b"\n3 0 obj", b"\n0 0 obj")),
        attack("nothing refers to it", C::ObjectUnreferenced, Draft::valid().add("stray", "<</N(x)>>").seal()),
        attack(
            "two that refer to each other only",
            C::ObjectUnreferenced,
            Draft::valid().add("one", "[@two@]").add("two", "[@one@]").seal(),
        ),
    ]
}

fn doubled(file: &[u8]) -> Vec<u8> {
    let start = find(file, b"\n3 0 obj").unwrap() + 1;
    let end = find(file, b"\n4 0 obj").unwrap() + 1;
    [&file[..end], &file[start..end], &file[end..]].concat()
}

pub(crate) fn tables() -> Vec<Attack> {
    let file = sealed();
    let table = rfind(&file, b"\nxref\n").unwrap() + 1;
    let first = find(&file, b"1 0 obj").unwrap();
    let row = format!("\n{first:010} 00000 n \n");
    let last = format!("\n{:010} 00000 n \n", find(&file, b"\n15 0 obj").unwrap() + 1);
    let swap = |from: &[u8], to: &[u8]| {
        let (head, tail) = file.split_at(table);
        [head, &replace_once(tail, from, to)].concat()
    };
    let start = format!("startxref\n{table}\n");
    vec![
        attack("no table", C::XrefMissing, swap(&file[table..rfind(&file, b"trailer\n").unwrap()], b"")),
        attack("a row fewer", C::XrefMalformed, swap(last.as_bytes(), b"\n")),
        attack("a row more", C::TrailerMalformed, swap(b"trailer\n", b"0000000000 00000 n \ntrailer\n")),
        attack("another count", C::XrefCount, swap(b"0 16\n", b"0 15\n")),
        attack("another size", C::XrefCount, swap(b"/Size 16", b"/Size 99")),
        attack("two sections", C::XrefCount, swap(b"0 16\n", b"0 1\n")),
        attack("other line ends", C::XrefMalformed, swap(b"xref\n0 16\n", b"xref\r0 16\n")),
        attack("a free object", C::XrefMalformed, swap(row.as_bytes(), row.replace('n', "f").as_bytes())),
        attack("no free list", C::XrefMalformed, swap(b"65535 f", b"00000 f")),
        attack("a wrong offset", C::XrefOffset, swap(row.as_bytes(), b"\n0000000016 00000 n \n")),
        attack("offsets of two objects swapped", C::XrefOffset, swapped(&file, table)),
        attack("no trailer", C::TrailerMalformed, swap(b"trailer\n", b"")),
        attack("a trailer that is no dictionary", C::TrailerMalformed, swap(b"trailer\n<<", b"trailer\n[")),
        attack("another place for the table", C::StartxrefOffset, swap(start.as_bytes(), b"startxref\n15\n")),
        attack(
            "two places for the table",
            C::StartxrefDoubled,
            swap(start.as_bytes(), format!("{start}{start}").as_bytes()),
        ),
        attack("no place for the table", C::StartxrefMalformed, swap(start.as_bytes(), b"")),
        attack("another end mark", C::StartxrefMalformed, swap(b"%%EOF", b"%%EOL")),
        attack("a comment before the place", C::Comment, swap(b"\nstartxref", b"%\nstartxref")),
    ]
}

fn swapped(file: &[u8], table: usize) -> Vec<u8> {
    let rows = table + b"xref\n0 16\n".len();
    let mut file = file.to_vec();
    let (third, fourth) = (rows + 60, rows + 80);
    let row = file[third..fourth].to_vec();
    file.copy_within(fourth..fourth + 20, third);
    file[fourth..fourth + 20].copy_from_slice(&row);
    file
}
