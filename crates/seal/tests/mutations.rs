//! Whatever happens to a file: the reader does not panic, and what it accepts it covers.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests, with helpers outside of the test functions")]

mod draft;

use std::sync::LazyLock;

use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::Index;
use seal::file::{ROOM_BYTES, SealedFile};

static SEALED: LazyLock<Vec<u8>> = LazyLock::new(draft::sealed);

/// One random change to a file.
#[derive(Debug, Clone)]
enum Mutation {
    Flip(Index, u8),
    Cut(Index, usize),
    Double(Index, usize),
    Splice(Index, Index, usize),
    Insert(Index, Vec<u8>),
}

fn mutation() -> impl Strategy<Value = Mutation> {
    // Half of the bytes inserted are pieces of syntax, so that some mutants get past the first check.
    let token = prop::sample::select(vec![
        &b"<<"[..],
        b">>",
        b"[",
        b"]",
        b"(",
        b")",
        b"/Type",
        b" 3 0 R",
        b" 1",
        b"%",
        b"\nendobj\n",
        b"stream\n",
        b"#41",
    ]);
    let inserted = prop_oneof![vec(any::<u8>(), 1..4), token.prop_map(<[u8]>::to_vec)];
    prop_oneof![
        (any::<Index>(), 1_u8..).prop_map(|(at, with)| Mutation::Flip(at, with)),
        (any::<Index>(), 1_usize..200).prop_map(|(at, length)| Mutation::Cut(at, length)),
        (any::<Index>(), 1_usize..200).prop_map(|(at, length)| Mutation::Double(at, length)),
        (any::<Index>(), any::<Index>(), 1_usize..200)
            .prop_map(|(from, to, length)| Mutation::Splice(from, to, length)),
        (any::<Index>(), inserted).prop_map(|(at, bytes)| Mutation::Insert(at, bytes)),
    ]
}

fn mutate(mut file: Vec<u8>, mutation: &Mutation) -> Vec<u8> {
    if file.is_empty() {
        return file;
    }
    // The room is most of the file and the dullest part: two places of three are chosen outside it.
    let room = file.windows(10).rposition(|window| window == b"/Contents<").unwrap_or(0);
    let place = |index: &Index, file: &[u8]| {
        let any = index.index(3 * file.len());
        match any / file.len() {
            0 => any % file.len(),
            1 => any % room.max(1),
            _ => file.len() - 1 - any % file.len().saturating_sub(room + 2 * ROOM_BYTES).max(1),
        }
    };
    match mutation {
        Mutation::Flip(at, with) => {
            let at = place(at, &file);
            file[at] ^= with;
        }
        Mutation::Cut(at, length) => {
            let at = place(at, &file);
            file.drain(at..(at + length).min(file.len()));
        }
        Mutation::Double(at, length) => {
            let at = place(at, &file);
            let piece = file[at..(at + length).min(file.len())].to_vec();
            file.splice(at..at, piece);
        }
        Mutation::Splice(from, to, length) => {
            let (from, to) = (place(from, &file), place(to, &file));
            let piece = file[from..(from + length).min(file.len())].to_vec();
            let end = (to + piece.len()).min(file.len());
            file.splice(to..end, piece);
        }
        Mutation::Insert(at, bytes) => {
            let at = place(at, &file);
            file.splice(at..at, bytes.iter().copied());
        }
    }
    file
}

fn assert_covered(bytes: &[u8]) -> Result<(), TestCaseError> {
    let Ok(file) = SealedFile::read(bytes) else { return Ok(()) };
    let range = file.byte_range();
    prop_assert_eq!(range.before.start, 0);
    prop_assert_eq!(range.after.end, bytes.len());
    prop_assert_eq!(range.after.start - range.before.end, 2 * ROOM_BYTES + 2);
    prop_assert_eq!(bytes[range.before.end], b'<');
    prop_assert_eq!(bytes[range.after.start - 1], b'>');
    prop_assert!(
        bytes[range.before.end + 1..range.after.start - 1].iter().all(|byte| b"0123456789abcdef".contains(byte))
    );
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 4000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_is_accepted_is_covered(mutations in vec(mutation(), 1..4)) {
        let file = mutations.iter().fold(SEALED.clone(), mutate);
        assert_covered(&file)?;
    }

    #[test]
    fn no_bytes_make_the_reader_panic(bytes in vec(any::<u8>(), 0..600)) {
        assert_covered(&bytes)?;
        assert_covered(&[b"%PDF-2.0\n%\xBB\xAD\xC0\xDE\n1 0 obj\n", &bytes[..]].concat())?;
    }

    #[test]
    fn the_signed_bytes_and_the_signature_make_the_whole_file(der in vec(any::<u8>(), 0..120)) {
        let der = [&[0x30, der.len() as u8][..], &der].concat();
        let sealed = seal::file::replace_room(&SEALED, &der).unwrap();
        let file = SealedFile::read(&sealed).unwrap();
        prop_assert_eq!(file.signature(), Some(&der[..]));
        let [before, after] = file.signed_bytes();
        let room = format!("<{:0<width$}>", hex::encode(&der), width = 2 * ROOM_BYTES);
        prop_assert_eq!([before, room.as_bytes(), after].concat(), sealed);
    }
}
