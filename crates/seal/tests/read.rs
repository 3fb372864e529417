//! What the strict reader tells about a valid file, and what filling the room does.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests, with helpers outside of the test functions")]

mod draft;

use draft::{DER, Draft, JPEG, RECORD};
use seal::file::{FaultCode, Objects, ROOM_BYTES, RoomError, SealedFile, fill_room, replace_room};
use sha2::{Digest, Sha256, Sha512};

#[test]
fn a_prepared_file_is_read() {
    let bytes = Draft::valid().prepare();
    let file = SealedFile::read(&bytes).unwrap();
    assert_eq!(file.signature(), None);
    assert_eq!(file.page_count(), 1);
    assert_eq!(file.record().unwrap().bytes, RECORD);
    assert_eq!(file.image_streams().collect::<Vec<_>>(), [JPEG]);
    assert_eq!(file.objects().len(), 15);
    assert!(!file.objects().is_empty() && Objects::default().is_empty());
    assert_eq!(file.signature_dictionary().find("Reason").unwrap().as_text().unwrap().decode(), b"Condition report");
}

#[test]
fn pages_in_branches_are_read_in_their_order() {
    // ISO 32000-2, 7.7.3.2: a node of the tree may lead to other nodes, and counts the pages below it.
    let draft = Draft::valid()
        .swap("pages", "/Kids[@page@]/Count 1", "/Kids[@branch@ @last@]/Count 2")
        .add("branch", "<</Type/Pages/Parent @pages@/Kids[@page@]/Count 1>>")
        .add("last", "<</Type/Page/Parent @pages@/MediaBox[0 0 595.28 841.89]>>")
        .swap("page", "/Parent @pages@", "/Parent @branch@");
    let bytes = draft.prepare();
    let pages = SealedFile::read(&bytes).unwrap().pages().to_vec();
    assert_eq!(pages, ["page", "last"].map(|name| u32::try_from(draft.number(name)).unwrap()));
}

#[test]
fn a_page_that_is_said_not_to_be_turned_is_a_page() {
    // ISO 32000-2, table 31: /Rotate is 0 where nothing is said.
    SealedFile::read(&Draft::valid().extend("page", "/Rotate 0").seal()).unwrap();
}

#[test]
fn the_byte_range_is_everything_but_the_signature() {
    let bytes = draft::sealed();
    let file = SealedFile::read(&bytes).unwrap();
    let (start, end) = draft::room(&bytes);
    assert_eq!(file.byte_range().before, 0..start);
    assert_eq!(file.byte_range().after, end..bytes.len());
    assert_eq!(bytes[start], b'<');
    assert_eq!(bytes[end - 1], b'>');
    assert_eq!(file.signature(), Some(&DER[..]));
    assert_eq!(file.contents().len(), ROOM_BYTES);
}

#[test]
fn the_identity_is_the_digest_of_the_covered_bytes_and_outlives_the_signature() {
    let prepared = Draft::valid().prepare();
    let sealed = draft::sealed();
    let (start, end) = draft::room(&prepared);
    let covered = Sha512::digest([&prepared[..start], &prepared[end..]].concat());
    let expected: [u8; 32] = Sha256::digest(covered).into();
    assert_eq!(SealedFile::read(&prepared).unwrap().identity(), expected);
    assert_eq!(SealedFile::read(&sealed).unwrap().identity(), expected);
}

#[test]
fn filling_the_room_changes_nothing_else() {
    let prepared = Draft::valid().prepare();
    let sealed = fill_room(&prepared, &DER).unwrap();
    let (start, end) = draft::room(&prepared);
    assert_eq!(sealed[..=start], prepared[..=start]);
    assert_eq!(sealed[end - 1..], prepared[end - 1..]);
    assert!(sealed[start + 1..].starts_with(b"3003020105000000"));
    assert_eq!(sealed, draft::sealed());
}

#[test]
fn a_signature_as_large_as_the_room_fits() {
    let prepared = Draft::valid().prepare();
    let mut der = vec![0xAB; ROOM_BYTES];
    der[..4].copy_from_slice(&[0x30, 0x82, 0x3F, 0xFC]);
    let sealed = fill_room(&prepared, &der).unwrap();
    assert_eq!(SealedFile::read(&sealed).unwrap().signature(), Some(&der[..]));
}

#[test]
fn a_signature_is_read_back_however_its_length_is_spelt() {
    let prepared = Draft::valid().prepare();
    // X.690, 8.1.3.4 and 8.1.3.5: up to 127 in one byte, then as many bytes as the first one says.
    for (head, inside) in
        [(&[0x30, 0x7F][..], 127), (&[0x30, 0x81, 0x80], 128), (&[0x30, 0x81, 0xFF], 255), (&[0x30, 0x82, 1, 0], 256)]
    {
        let der = [head, &vec![0xAB; inside]].concat();
        let sealed = fill_room(&prepared, &der).unwrap();
        assert_eq!(SealedFile::read(&sealed).unwrap().signature(), Some(&der[..]), "{inside}");
    }
}

#[test]
fn a_signature_larger_than_the_room_is_refused() {
    let prepared = Draft::valid().prepare();
    let der = vec![0x30; ROOM_BYTES + 1];
    assert_eq!(fill_room(&prepared, &der), Err(RoomError::TooSmall { needed: ROOM_BYTES + 1 }));
}

#[test]
fn bytes_that_are_no_der_are_not_written() {
    let prepared = Draft::valid().prepare();
    for bytes in [&b""[..], b"\x30", b"\x30\x03\x02\x01", b"\x30\x03\x02\x01\x05\x00", b"\x30\x80\x00\x00", b"\x31\x00"]
    {
        assert_eq!(fill_room(&prepared, bytes), Err(RoomError::NotDer { found: bytes.len() }), "{bytes:02x?}");
    }
}

#[test]
fn sealing_twice_is_refused() {
    assert_eq!(fill_room(&draft::sealed(), &DER), Err(RoomError::Filled));
}

#[test]
fn a_room_that_is_not_all_zeros_is_not_filled() {
    let spoilt = draft::fill(&Draft::valid().prepare(), &[0, 0, 1]);
    assert!(
        matches!(fill_room(&spoilt, &DER), Err(RoomError::Unreadable(fault)) if fault.code == FaultCode::ContentsNotDer)
    );
}

#[test]
fn a_replaced_signature_leaves_nothing_of_the_first() {
    let short = replace_room(&draft::sealed(), &[0x30, 0x00]).unwrap();
    assert_eq!(SealedFile::read(&short).unwrap().signature(), Some(&[0x30, 0x00][..]));
    assert_eq!(replace_room(&short, &DER).unwrap(), draft::sealed());
}

#[test]
fn a_prepared_file_has_no_signature_to_replace() {
    assert_eq!(replace_room(&Draft::valid().prepare(), &DER), Err(RoomError::Empty));
}

#[test]
fn decoys_in_strings_are_not_read() {
    let decoy = "/Reason(/ByteRange[0 0 0 0] /Contents<30> endobj\n%%EOF\nstartxref\n0\n 1 0 obj << /Type /Sig >>)";
    let bytes = Draft::valid().swap("signature", "/Reason(Condition report)", decoy).prepare();
    let file = SealedFile::read(&bytes).unwrap();
    let (start, end) = (file.byte_range().before.end, file.byte_range().after.start);
    assert_eq!(end - start, 2 * ROOM_BYTES + 2);
    assert!(bytes[..start].ends_with(b"/Contents"));
}

#[test]
fn strings_are_decoded() {
    let bytes = Draft::valid().swap("info", "(Brake \\(disc (front) report)", "(a\\)b\\(c\\\\d\\re(f\ng)h)").prepare();
    let file = SealedFile::read(&bytes).unwrap();
    let info = file.objects().find_dictionary(file.trailer(), "Info").unwrap();
    assert_eq!(info.find("Title").unwrap().as_text().unwrap().decode(), b"a)b(c\\d\re(f\ng)h");
    assert_eq!(info.find("Producer").unwrap().as_text().unwrap().decode(), [0xFE, 0xFF, 0, b'R']);
}

/// The whole file is cut at each length; what is left is never taken for a file.
#[test]
fn no_beginning_of_a_file_is_a_file() {
    let bytes = draft::sealed();
    let (start, end) = draft::room(&bytes);
    for length in (0..bytes.len()).filter(|length| !(start + 64..end - 64).contains(length)) {
        let fault = SealedFile::read(&bytes[..length]).expect_err("a cut file is refused");
        assert_eq!(fault.code, FaultCode::Truncated, "cut at {length} of {}: {fault}", bytes.len());
    }
}

#[test]
fn faults_are_sentences_for_a_reader() {
    let mut longer = draft::sealed();
    longer.extend_from_slice(&[b'x'; 312]);
    let fault = SealedFile::read(&longer).unwrap_err();
    assert_eq!(fault.to_string(), "312 bytes were added at the end");
    assert_eq!(fault.offset, Some(longer.len() - 312));
    longer.truncate(longer.len() - 311);
    assert_eq!(SealedFile::read(&longer).unwrap_err().to_string(), "1 byte was added at the end");

    let draft = Draft::valid();
    let text = draft.number("text");
    let packed = draft::deflate(b"BT ET");
    for (data, said) in [
        ([&packed[..], b"hidden"].concat(), "goes on after its end"),
        (packed[..packed.len() - 4].to_vec(), "ends early"),
    ] {
        let file = Draft::valid().set("text", draft::stream("/Filter/FlateDecode", &data)).seal();
        assert_eq!(SealedFile::read(&file).unwrap_err().to_string(), format!("the data of stream {text} {said}"));
    }
}

#[test]
fn a_fault_of_the_signature_is_shown_at_its_digit() {
    let prepared = Draft::valid().prepare();
    let first = draft::room(&prepared).0 + 1;
    let mut upper = draft::fill(&prepared, &[0x30, 3, 2, 1, 0xAB]);
    upper[first + 8] = b'A';
    let fault = SealedFile::read(&upper).unwrap_err();
    assert_eq!((fault.code, fault.offset), (FaultCode::ContentsNotHex, Some(first + 8)));
    // Five bytes of a signature, two zeros, and one that is none: two digits each.
    let padded = draft::fill(&prepared, &[0x30, 3, 2, 1, 5, 0, 0, 0x50]);
    let fault = SealedFile::read(&padded).unwrap_err();
    assert_eq!((fault.code, fault.offset), (FaultCode::ContentsPadding, Some(first + 14)));
}

#[test]
fn codes_are_distinct_and_in_kebab_case() {
    let mut spellings: Vec<&str> = FaultCode::ALL.iter().map(|code| code.as_str()).collect();
    assert!(spellings.iter().all(|text| text.bytes().all(|byte| byte.is_ascii_lowercase() || byte == b'-')));
    assert!(FaultCode::ALL.iter().all(|code| code.to_string() == code.as_str()));
    spellings.sort_unstable();
    spellings.dedup();
    assert_eq!(spellings.len(), FaultCode::ALL.len());
}

/// The reader's spelling is that of lopdf's writer (crate `lopdf`, `Document::save_to`): what it makes of the values is
/// what stands in the draft, to the byte.
#[test]
fn the_writer_spells_as_the_reader_expects() {
    let spelt = "/A[1 -2 0 0.5 -0.25(x)(y)/N/M 3 true false null<00FF>[1]<</K(v)>>]/B 595.28/C null/D true/E -7\
                 /F(a\\(b\\\\c\\rd)/G(paired (brackets))/H[]/I<<>>/J()/K<>";
    let draft = Draft::valid().extend("info", spelt);
    let assembled = draft.assemble();
    let mut written = Vec::new();
    lopdf::Document::load_mem(&assembled).unwrap().save_to(&mut written).unwrap();
    let difference = assembled.iter().zip(&written).position(|(ours, theirs)| ours != theirs);
    assert_eq!(difference, None, "{}", String::from_utf8_lossy(&written[difference.unwrap_or(0)..][..40]));
    assert_eq!(assembled.len(), written.len());
    SealedFile::read(&draft.prepare()).unwrap();
}
