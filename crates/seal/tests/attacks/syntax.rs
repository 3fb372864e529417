//! Values that could be read in two ways, streams that end elsewhere, and limits.

use seal::file::FaultCode as C;

use crate::draft::{Draft, deflate, replace_once, sealed, stream};
use crate::{Attack, attack};

fn info(name: &'static str, code: C, entries: &str) -> Attack {
    attack(name, code, Draft::valid().extend("info", entries).seal())
}

pub(crate) fn spellings() -> Vec<Attack> {
    let catalog = |from: &str, to: &str| Draft::valid().swap("catalog", from, to).seal();
    vec![
        info("a key twice", C::KeyDoubled, "/Title(Another)"),
        attack("a byte range twice", C::KeyDoubled, Draft::valid().extend("signature", "/ByteRange[0 0 0 0]").seal()),
        attack("contents twice", C::KeyDoubled, Draft::valid().extend("signature", "/Reason(Other)").seal()),
        info(
            "a key twice among many",
            C::KeyDoubled,
            &format!("{}/Q(twice)", ('A'..='Z').flat_map(|letter| ['/', letter, '(', ')']).collect::<String>()),
        ),
        attack("a key spelt with #", C::NameEscaped, catalog("/Lang(en)", "/L#61ng(en)")),
        attack("a value spelt with #", C::NameEscaped, catalog("/Type/Catalog", "/Type/Cat#61log")),
        attack("the media type as a key", C::NameEscaped, catalog("/Lang(en)", "/application#2Fjson(en)")),
        info("an empty name", C::NameMalformed, "/ 1"),
        info("a long name", C::NameMalformed, &format!("/{}(x)", "N".repeat(128))),
        info("a name outside ASCII", C::NameMalformed, "/Nä(x)"),
        attack("a comment in a dictionary", C::Comment, catalog("/Lang(en)", "%/Lang(en)\n")),
        attack("a comment before a value", C::Comment, catalog("/Lang(en)", "/Lang%x\n(en)")),
        attack("a comment between objects", C::Comment, replace_once(&sealed(), b"\n3 0 obj", b"\n%\n3 0 obj")),
        attack("a comment before endobj", C::Comment, Draft::valid().set("info", "<<>>%").seal()),
        info("space before a key", C::WhiteSpace, " /N(x)"),
        info("space before a string", C::WhiteSpace, "/N (x)"),
        info("two spaces", C::WhiteSpace, "/N  1"),
        info("a line end for a space", C::WhiteSpace, "/N\n1"),
        info("no space", C::WhiteSpace, "/N[1 2(x)true]"),
        info("space in an array", C::WhiteSpace, "/N[ 1]"),
        info("space at an array's end", C::WhiteSpace, "/N[1 ]"),
        info("a zero byte", C::WhiteSpace, "/N[1\0 2]"),
        info("a word that is no value", C::Syntax, "/N yes"),
        info("a key that is no name", C::Syntax, "(N)1"),
        attack("no endobj", C::Syntax, replace_once(&sealed(), b"endobj\n3 0 obj", b"endobx\n3 0 obj")),
        info("a plus sign", C::Syntax, "/N +1"),
        info("leading zeros", C::NumberMalformed, "/N 007"),
        info("no digit", C::NumberMalformed, "/N -"),
        info("no digit after the point", C::NumberMalformed, "/N 1."),
        info("superfluous zeros", C::NumberMalformed, "/N 1.50"),
        info("beyond 64 bits", C::NumberTooLarge, "/N 9223372036854775808"),
        info("an unknown escape", C::StringMalformed, "/N(\\101)"),
        info("a bare carriage return", C::StringMalformed, "/N(a\rb)"),
        info("odd digits", C::StringMalformed, "/N<ABC>"),
        info("no digits", C::StringMalformed, "/N<A C>"),
        info("another generation", C::GenerationNotZero, "/N 3 1 R"),
        attack(
            "an object of another generation",
            C::GenerationNotZero,
            replace_once(&sealed(), b"\n3 0 obj", b"\n3 1 obj"),
        ),
        info("object 0", C::ReferenceDangling, "/N 0 0 R"),
        info("an object that is not there", C::ReferenceDangling, "/N 99 0 R"),
        info("an object beyond 32 bits", C::ReferenceDangling, "/N 4294967296 0 R"),
    ]
}

fn photograph(name: &'static str, code: C, body: impl AsRef<[u8]>) -> Attack {
    attack(name, code, Draft::valid().set("photograph", body).seal())
}

/// A stream whose length is spelt by hand.
fn sized(length: &str) -> Vec<u8> {
    let data = b"\xFF\xD8\xFF 0123456789 \xFF\xD9";
    [format!("<<{length}>>stream\n").as_bytes(), data, b"\nendstream "].concat()
}

pub(crate) fn streams() -> Vec<Attack> {
    let text = |entries: &str, data: &[u8]| Draft::valid().set("text", stream(entries, data)).seal();
    let flate = "/Filter/FlateDecode";
    let mut damaged = deflate(b"BT /F0 11 Tf <0001> Tj ET");
    let middle = damaged.len() - 6;
    damaged[middle] ^= 1;
    let cut = deflate(b"BT /F0 11 Tf <0001> Tj ET");
    let longer = [&deflate(b"BT ET")[..], b"hidden"].concat();
    // The length leads to a false end inside the data; what follows would be read as objects.
    let fake =
        b"<</Length 4>>stream\n\xFF\xD8\xFF\xD9\nendstream \nendobj\n2 0 obj\n<</Type/Pages>>\nendobj\n\nendstream ";
    vec![
        photograph("no length", C::StreamLengthMissing, sized("")),
        photograph("a length that is no number", C::StreamLengthMissing, sized("/Length(17)")),
        photograph("an indirect length", C::StreamLengthIndirect, sized("/Length @info@")),
        photograph("too short a length", C::StreamLength, sized("/Length 16")),
        photograph("too long a length", C::StreamLength, sized("/Length 18")),
        photograph("a length beyond the file", C::StreamLength, sized("/Length 99999999")),
        photograph("a negative length", C::StreamLength, sized("/Length -1")),
        photograph("a fake endstream", C::ObjectDoubled, fake),
        photograph("no JPEG", C::ImageMalformed, stream("/Filter/DCTDecode", b"GIF89a")),
        photograph("bytes after the JPEG", C::ImageMalformed, stream("/Filter/DCTDecode", b"\xFF\xD8\xFF\xD9PK")),
        photograph("external data", C::ExternalStream, stream("/F(other.jpg)", b"")),
        photograph("an external filter", C::ExternalStream, stream("/FFilter/DCTDecode", b"")),
        attack("another filter", C::FilterUnknown, text("/Filter/LZWDecode", b"")),
        attack("a chain of filters", C::FilterUnknown, text("/Filter[/FlateDecode/FlateDecode]", b"")),
        attack("a cipher", C::FilterUnknown, text("/Filter/Crypt", b"")),
        attack("filter parameters", C::FilterParameters, text("/Filter/FlateDecode/DecodeParms<<>>", &cut)),
        attack("damaged data", C::DecompressionFailed, text(flate, &damaged)),
        attack("data cut short", C::DecompressionFailed, text(flate, &cut[..cut.len() - 4])),
        attack("data after its end", C::DecompressionFailed, text(flate, &longer)),
        attack("no data", C::DecompressionFailed, text(flate, b"")),
        attack("a bomb", C::DecompressionTooLarge, text(flate, &deflate(&vec![b' '; 16 << 20]))),
    ]
}

pub(crate) fn limits() -> Vec<Attack> {
    let deep = format!("/N{}{}", "[".repeat(100_000), "]".repeat(100_000));
    vec![
        attack("half a gigabyte", C::FileTooLarge, vec![0; (512 << 20) + 1]),
        info("nested a hundred thousand deep", C::NestingTooDeep, &deep),
        info("millions of values", C::TooManyValues, &format!("/N[0{}]", " 0".repeat(4_000_000))),
        info("dictionaries nested deep", C::NestingTooDeep, &format!("{}1", "/N<<".repeat(70))),
    ]
}
