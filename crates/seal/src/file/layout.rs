//! From the first byte to the last: header, objects one after another, one cross-reference table,
//! one trailer, the end. Every byte belongs to exactly one of them.

use super::fault::{Fault, FaultCode};
use super::limits;
use super::object::{Dictionary, IndirectObject, Objects, Value};
use super::syntax::{Parser, Spacing, needs_space};

const HEADER: &[u8] = b"%PDF-2.0\n";
/// Four bytes above 127 tell transports that the file is binary (ISO 32000-2, 7.5.2); these are the writer's.
const BINARY_MARK: &[u8] = b"%\xBB\xAD\xC0\xDE\n";
const FREE_ENTRY: &[u8] = b"0000000000 65535 f \n";

pub(crate) struct Layout<'a> {
    pub objects: Objects<'a>,
    pub trailer: Dictionary<'a>,
}

pub(crate) fn read<'a>(parser: &mut Parser<'a>) -> Result<Layout<'a>, Fault> {
    if parser.bytes.len() > limits::FILE_BYTES {
        return Err(Fault::of(
            FaultCode::FileTooLarge,
            format!("the file has {} bytes, more than the {} that are read", parser.bytes.len(), limits::FILE_BYTES),
        ));
    }
    read_header(parser)?;
    let objects = read_objects(parser)?;
    let table = parser.at;
    read_table(parser, &objects)?;
    let trailer = read_trailer(parser, &objects)?;
    read_end(parser, table)?;
    Ok(Layout { objects, trailer })
}

fn read_header(parser: &mut Parser<'_>) -> Result<(), Fault> {
    if !parser.eat(HEADER) {
        return Err(match find(parser.bytes, b"%PDF-") {
            Some(0) => parser.fault(FaultCode::HeaderVersion, HEADER, "the file does not begin with the line %PDF-2.0"),
            Some(at) => Fault::at(FaultCode::HeaderNotAtStart, 0, format!("{at} bytes stand before the file's header")),
            None => parser.fault(FaultCode::HeaderMissing, HEADER, "the file has no PDF header"),
        });
    }
    if !parser.eat(BINARY_MARK) {
        return Err(parser.fault(
            FaultCode::HeaderComment,
            BINARY_MARK,
            "the second line is not the comment that reports carry",
        ));
    }
    Ok(())
}

fn read_objects<'a>(parser: &mut Parser<'a>) -> Result<Objects<'a>, Fault> {
    let mut objects = Vec::new();
    while !parser.rest().starts_with(b"xref\n") {
        let object = read_object(parser, objects.len() + 1)?;
        objects.push(object);
    }
    Ok(Objects(objects))
}

fn read_object<'a>(parser: &mut Parser<'a>, expected: usize) -> Result<IndirectObject<'a>, Fault> {
    let start = parser.at;
    let number = read_object_number(parser, expected)?;
    let value = parser.spaced_value(Spacing::ByKind, "")?;
    let stream = match &value {
        Value::Dictionary(dictionary) => {
            refuse_other_layouts(dictionary)?;
            if parser.eat(b"stream\n") { Some(read_stream(parser, dictionary, number)?) } else { None }
        }
        _ => None,
    };
    let end: &[u8] = if stream.is_some() || needs_space(&value) || matches!(value, Value::Name(_)) {
        b" \nendobj\n"
    } else {
        b"\nendobj\n"
    };
    if !parser.eat(end) {
        return Err(match parser.peek() {
            Some(b'%') => Fault::at(FaultCode::Comment, parser.at, "a comment stands where none is written"),
            _ if b"stream\n".starts_with(parser.rest()) => parser.cut(),
            _ => parser.fault(FaultCode::Syntax, end, format!("object {number} does not end with endobj")),
        });
    }
    Ok(IndirectObject { number, span: start..parser.at, value, stream })
}

/// Steps over `N 0 obj` and its line end.
fn read_object_number(parser: &mut Parser<'_>, expected: usize) -> Result<u32, Fault> {
    let start = parser.at;
    let digits = parser.digits();
    let number = std::str::from_utf8(digits).ok().and_then(|digits| digits.parse::<u32>().ok());
    let space = parser.eat(b" ");
    let generation = parser.digits();
    let (Some(number), true, false) = (number, space && parser.eat(b" obj\n"), generation.is_empty()) else {
        parser.at = start;
        return Err(explain_between(parser, expected));
    };
    if generation != b"0" {
        return Err(Fault::at(
            FaultCode::GenerationNotZero,
            start,
            format!("object {number} has a generation other than 0"),
        ));
    }
    match (number as usize).cmp(&expected) {
        std::cmp::Ordering::Equal if digits[0] != b'0' => Ok(number),
        std::cmp::Ordering::Less if number > 0 => {
            Err(Fault::at(FaultCode::ObjectDoubled, start, format!("object {number} is defined a second time")))
        }
        _ => Err(Fault::at(
            FaultCode::ObjectOutOfOrder,
            start,
            format!("object {number} stands where object {expected} is expected"),
        )),
    }
}

/// Why there is neither an object nor the table.
fn explain_between(parser: &Parser<'_>, expected: usize) -> Fault {
    let rest = parser.rest();
    if rest.starts_with(b"%") {
        return Fault::at(
            FaultCode::Comment,
            parser.at,
            format!("a comment stands where object {expected} or the table is expected"),
        );
    }
    if rest.starts_with(b"trailer") || rest.starts_with(b"startxref") {
        return Fault::at(FaultCode::XrefMissing, parser.at, "the cross-reference table is missing");
    }
    if rest.starts_with(b"xref") && rest.len() > b"xref\n".len() {
        return Fault::at(FaultCode::XrefMalformed, parser.at, "the cross-reference table does not begin as written");
    }
    // What a cut leaves of an object's first line or of the table's.
    let cut = |byte: &u8| byte.is_ascii_digit() || b" objxref\n".contains(byte);
    if rest.len() < 20 && rest.iter().all(cut) {
        return parser.cut();
    }
    Fault::at(
        FaultCode::BytesBetweenObjects,
        parser.at,
        format!("something that is no object stands where object {expected} or the table is expected"),
    )
}

fn refuse_other_layouts(dictionary: &Dictionary<'_>) -> Result<(), Fault> {
    match dictionary.find_name("Type") {
        Some("XRef") => Err(Fault::at(
            FaultCode::XrefStream,
            dictionary.at,
            "the cross-reference data is a stream; reports have a plain table",
        )),
        Some("ObjStm") => Err(Fault::at(
            FaultCode::ObjectStream,
            dictionary.at,
            "objects are packed into a stream; reports do not do that",
        )),
        _ if dictionary.find("Linearized").is_some() => {
            Err(Fault::at(FaultCode::Linearized, dictionary.at, "the file is linearised; reports are not"))
        }
        _ => Ok(()),
    }
}

fn read_stream<'a>(parser: &mut Parser<'a>, dictionary: &Dictionary<'_>, number: u32) -> Result<&'a [u8], Fault> {
    let start = parser.at;
    let length = match dictionary.find("Length") {
        Some(&Value::Integer(length)) => length,
        Some(Value::Reference(_)) => {
            return Err(Fault::at(
                FaultCode::StreamLengthIndirect,
                start,
                format!("the length of stream {number} stands in another object"),
            ));
        }
        _ => return Err(Fault::at(FaultCode::StreamLengthMissing, start, format!("stream {number} has no length"))),
    };
    let data = usize::try_from(length).ok().and_then(|length| parser.rest().get(..length));
    if let Some(data) = data {
        parser.at += data.len();
        if parser.eat(b"\nendstream") {
            return Ok(data);
        }
    }
    parser.at = start;
    Err(match find(parser.rest(), b"\nendstream") {
        Some(found) => Fault::at(
            FaultCode::StreamLength,
            start,
            format!("stream {number} ends after {found} bytes, its length says {length}"),
        ),
        None => Fault::at(
            FaultCode::Truncated,
            parser.bytes.len(),
            format!("the file ends early, after {} bytes, inside stream {number}", parser.bytes.len()),
        ),
    })
}

fn read_table(parser: &mut Parser<'_>, objects: &Objects<'_>) -> Result<(), Fault> {
    let malformed = "the cross-reference table is not as written";
    let count = objects.len() + 1;
    parser.eat(b"xref\n");
    let at = parser.at;
    let first_line = format!("0 {count}\n");
    if !parser.eat(first_line.as_bytes()) {
        let counted = parser.eat(b"0 ") && !parser.digits().is_empty() && parser.peek() == Some(b'\n');
        parser.at = at;
        if counted {
            return Err(Fault::at(
                FaultCode::XrefCount,
                at,
                format!("the cross-reference table does not list the {count} entries that the objects make"),
            ));
        }
        return Err(parser.fault(FaultCode::XrefMalformed, first_line.as_bytes(), malformed));
    }
    if !parser.eat(FREE_ENTRY) {
        return Err(parser.fault(FaultCode::XrefMalformed, FREE_ENTRY, malformed));
    }
    for object in objects.iter() {
        let expected = entry_of(object.span.start);
        if parser.eat(&expected) {
            continue;
        }
        let row = parser.rest().get(..expected.len());
        let well_formed =
            row.is_some_and(|row| row[..10].iter().all(u8::is_ascii_digit) && row[10..] == expected[10..]);
        if well_formed {
            return Err(Fault::at(
                FaultCode::XrefOffset,
                parser.at,
                format!(
                    "the cross-reference table does not point to object {}, which begins at byte {}",
                    object.number, object.span.start
                ),
            ));
        }
        return Err(parser.fault(FaultCode::XrefMalformed, &expected, malformed));
    }
    Ok(())
}

/// `nnnnnnnnnn 00000 n` and its line end (ISO 32000-2, 7.5.4).
fn entry_of(offset: usize) -> [u8; 20] {
    let mut entry = *b"0000000000 00000 n \n";
    let mut rest = offset;
    for digit in entry[..10].iter_mut().rev() {
        *digit = b'0' + (rest % 10) as u8;
        rest /= 10;
    }
    entry
}

fn read_trailer<'a>(parser: &mut Parser<'a>, objects: &Objects<'a>) -> Result<Dictionary<'a>, Fault> {
    if !parser.eat(b"trailer\n") {
        return Err(parser.fault(
            FaultCode::TrailerMalformed,
            b"trailer\n",
            "no trailer follows the cross-reference table",
        ));
    }
    if !parser.rest().starts_with(b"<<") {
        return Err(parser.fault(FaultCode::TrailerMalformed, b"<<", "the trailer is no dictionary"));
    }
    let trailer = parser.dictionary()?;
    for entry in &trailer.entries {
        let (code, message) = match entry.key {
            "Root" | "Size" | "Info" | "ID" => continue,
            "Prev" => (FaultCode::PreviousRevision, "the trailer points to an earlier revision of the file"),
            "XRefStm" => (FaultCode::HybridFile, "the trailer points to a second, hidden table"),
            "Encrypt" => (FaultCode::Encrypted, "the file is encrypted; reports are not"),
            _ => (FaultCode::TrailerEntry, "the trailer has an entry that reports do not have"),
        };
        return Err(Fault::at(code, entry.at, message));
    }
    if trailer.find("Size").and_then(Value::as_integer) != i64::try_from(objects.len() + 1).ok() {
        return Err(Fault::at(
            FaultCode::XrefCount,
            trailer.at,
            format!("the trailer's size is not {}, which the objects make", objects.len() + 1),
        ));
    }
    Ok(trailer)
}

fn read_end(parser: &mut Parser<'_>, table: usize) -> Result<(), Fault> {
    let expected = format!("\nstartxref\n{table}\n%%EOF");
    if !parser.eat(expected.as_bytes()) {
        return Err(explain_end(parser, &expected, table));
    }
    let rest = parser.rest();
    if rest.is_empty() {
        return Ok(());
    }
    let (code, what) = if find(rest, b"%PDF-").is_some() {
        (FaultCode::SecondDocument, "a second document was")
    } else if [&b" obj"[..], b"xref", b"trailer"].iter().any(|mark| find(rest, mark).is_some()) {
        (FaultCode::IncrementalUpdate, "a later revision was")
    } else {
        (FaultCode::BytesAfterEnd, if rest.len() == 1 { "1 byte was" } else { "bytes were" })
    };
    let message = match code {
        FaultCode::BytesAfterEnd if rest.len() > 1 => format!("{} bytes were added at the end", rest.len()),
        FaultCode::BytesAfterEnd => format!("{what} added at the end"),
        _ => format!("{what} added at the end, {} bytes", rest.len()),
    };
    Err(Fault::at(code, parser.at, message))
}

fn explain_end(parser: &mut Parser<'_>, expected: &str, table: usize) -> Fault {
    if parser.peek() == Some(b'%') {
        return Fault::at(FaultCode::Comment, parser.at, "a comment stands after the trailer");
    }
    let cut = parser.fault(FaultCode::StartxrefMalformed, expected.as_bytes(), "the end of the file is not as written");
    if cut.code == FaultCode::Truncated || !parser.eat(b"\nstartxref\n") {
        return cut;
    }
    let at = parser.at;
    let digits = parser.digits();
    if digits != table.to_string().as_bytes() {
        return Fault::at(
            FaultCode::StartxrefOffset,
            at,
            format!("the file's end does not point to the cross-reference table, which begins at byte {table}"),
        );
    }
    if find(parser.rest(), b"startxref").is_some() {
        return Fault::at(
            FaultCode::StartxrefDoubled,
            parser.at,
            "the file's end points to two cross-reference tables",
        );
    }
    Fault::at(FaultCode::StartxrefMalformed, parser.at, "the file does not end with %%EOF")
}

/// The first place of `needle`; looked for only to explain a fault that is already certain.
fn find(haystack: &[u8], needle: &[u8]) -> Option<usize> {
    haystack.windows(needle.len()).position(|window| window == needle)
}
