use super::*;
use crate::{
    digest::Sha256Digest,
    fixture::at,
    receipt::{LogKey, decode_base64},
};

fn private(seed: u8) -> PrivateKey {
    PrivateKey::from_seed(&[seed; 32])
}

fn witness(seed: u8) -> WitnessKey {
    WitnessKey::new(&format!("witness.example/w{seed}"), private(seed).public()).unwrap()
}

fn head(size: u64) -> Checkpoint {
    Checkpoint::sign("log.example/north-bay", size, Sha256Digest::of(b"root"), &private(90))
}

/// This head with signatures of witnesses at these times, whole seconds after 1970.
fn cosigned(head: &Checkpoint, signatures: &[(u8, i64)]) -> Checkpoint {
    signatures.iter().fold(head.clone(), |head, (seed, second)| {
        let time = DateTime::from_timestamp(*second, 0).unwrap();
        head.with_signatures(&head.cosign(&witness(*seed), &private(*seed), time).unwrap()).unwrap()
    })
}

fn second(time: i64) -> Option<DateTime<Utc>> {
    DateTime::from_timestamp(time, 0)
}

/// How many had signed, and by when two of the witnesses 1, 2 and 3 had.
fn two_of_three(checkpoint: &Checkpoint) -> Result<(usize, Option<DateTime<Utc>>), ReceiptFault> {
    let witnesses = Witnesses::new(vec![witness(1), witness(2), witness(3)], 2).unwrap();
    witnesses.judge(checkpoint, at("2026-02-03T04:05:06Z")).map(|found| (found.count, found.by))
}

#[test]
fn a_cosignature_of_a_running_log_is_read() {
    // C2SP tlog-cosignature, its example: the line's id and its time. (The witness's key is not published.)
    let text = "example.com/behind-the-sofa\n20852163\nCsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=\n\n\
        — example.com/behind-the-sofa Az3grlgtzPICa5OS8npVmf1Myq/5IZniMp+ZJurmRDeOoRDe4URYN7u5/Zhcyv2q1gGzGku9nTo+zyWE+xeMcTOAYQ8=\n\
        — witness.example.com/w1 jWbPPwAAAABkGFDLEZMHwSRaJNiIDoe9DYn/zXcrtPHeolMI5OWXEhZCB9dlrDJsX3b2oyin1nPZqhf5nNo0xUe+mbIUBkBIfZ+qnA==\n";
    let read = Checkpoint::parse(text).unwrap();
    let (time, signature) = read.signatures()[1].signature.split_first_chunk::<8>().unwrap();
    assert_eq!((u64::from_be_bytes(*time), signature.len()), (1_679_315_147, 64));
    assert_eq!(
        message(1_679_315_147, read.body()),
        "cosignature/v1\ntime 1679315147\nexample.com/behind-the-sofa\n20852163\nCsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=\n"
    );
}

#[test]
fn a_cosignature_of_others_is_checked() {
    // sigsum-go, pkg/proof/proof_test.go, TestVerify (commit 192b5532, BSD-2-Clause): the log's key, the witness's key, a head
    // and both signatures, as its programs made them. Its text has no note; the lines are put together here.
    let unhex = |text: &str| hex::decode(text).unwrap();
    let key = |text: &str| PublicKey::parse(&unhex(text)).unwrap();
    let origin = "sigsum.org/v1/tree/7c5fafc796c201e0fcd7567c5033a2777ec28363f54ea0ba97b57bece0d96acd";
    let log = LogKey::new(origin, key("ac26c0a855ac451a6539478e1a160388f024b385f1363efcda470170076c01e5")).unwrap();
    let witness = key("cbe357e6b464049e703b7be6c89201193acc2a18c095b0691aaf50b9b1e1578a");
    let witness = WitnessKey::new("witness.example/submit-test", witness).unwrap();
    let log_signature = "ccbdd8c784726b732b8edd2039fbad5506e4acccd56e3e5d86c0ee109b3d2662\
        e6881fe3d09fc48f9ddd31494463c5ec44926ff9158785ad1dd9b5d6434b0804";
    let cosignature = "e8d6c447d7847d5c1431ef86f8c60fa0cbacd975388b2a8f202fe4b0f9d0d544\
        989c9d9351752d86aae2df72b9d7135b6b09de2ccaa6d68edf638105d69be609";
    let id = |text: String| unhex(text.split('+').nth(1).unwrap());
    let line = |name: &str, bytes: &[&[u8]]| format!("— {name} {}\n", Base64::encode_string(&bytes.concat()));
    let note = |time: u64| {
        let own = line(origin, &[&id(log.to_text()), &unhex(log_signature)]);
        let other = line(witness.name(), &[&id(witness.to_text()), &time.to_be_bytes(), &unhex(cosignature)]);
        let text = format!("{origin}\n4\nPdxW/UbnHlF7aTa5d6RX2n05gQgUH831yDhs3XJKt6g=\n\n{own}{other}");
        Checkpoint::parse(&text).unwrap()
    };
    let whole = note(1_683_202_758);
    assert!(whole.names(&log) && whole.is_signed_by(&log));
    assert_eq!(whole.cosigned_at(&witness), Ok(Some(1_683_202_758)));
    assert_eq!(note(1_683_202_759).cosigned_at(&witness).unwrap_err().code(), "receipt-witness-signature");
}

#[test]
fn a_witness_key_is_not_a_logs_key() {
    // transparency-dev/formats, note/note_cosigv1_test.go (commit 0b850f1a, BSD-3-Clause): a key of type 4.
    let text = "remora.n621.de+da77ade7+BOvN63jn/bLvkieywe8R6UYAtVtNbZpXh34x7onlmtw2";
    assert_eq!(WitnessKey::parse(text).unwrap().to_text(), text);
    assert_eq!(LogKey::parse(text), Err(NoteKeyError::Type { got: 4, expected: 1 }));
    let log = LogKey::new("log.example/north-bay", private(90).public()).unwrap().to_text();
    assert_eq!(WitnessKey::parse(&log), Err(NoteKeyError::Type { got: 1, expected: 4 }));
    // The same key under the same name has another id as a witness: a log's signature is never a witness's.
    let as_witness = WitnessKey::new("log.example/north-bay", private(90).public()).unwrap();
    assert_eq!(head(4).cosigned_at(&as_witness), Ok(None));
}

#[test]
fn the_time_is_when_enough_had_signed() {
    let head = head(4);
    assert_eq!(two_of_three(&head), Ok((0, None)));
    assert_eq!(two_of_three(&cosigned(&head, &[(1, 500)])), Ok((1, None)), "too few");
    assert_eq!(two_of_three(&cosigned(&head, &[(1, 500), (3, 300)])), Ok((2, second(500))));
    assert_eq!(two_of_three(&cosigned(&head, &[(1, 500), (3, 300), (2, 400)])), Ok((3, second(400))));
    // One who says a time of long ago moves nothing where two are needed.
    assert_eq!(two_of_three(&cosigned(&head, &[(1, 500), (3, 1), (2, 400)])), Ok((3, second(400))));
}

#[test]
fn whoever_is_not_known_or_signs_twice_adds_nothing() {
    let head = head(4);
    assert_eq!(two_of_three(&cosigned(&head, &[(1, 500), (8, 400), (9, 300)])), Ok((1, None)));
    let twice = cosigned(&head, &[(1, 500), (1, 300), (1, 500)]);
    assert_eq!(twice.as_str().lines().count(), 7, "the same line is there once");
    assert_eq!(two_of_three(&twice), Ok((1, None)));
    assert_eq!(two_of_three(&cosigned(&twice, &[(2, 200)])), Ok((2, second(300))), "of several times the earliest");
}

#[test]
fn a_time_that_is_none_or_to_come_does_not_count() {
    let head = head(4);
    let later = at("2026-02-03T04:05:07Z").timestamp();
    assert_eq!(two_of_three(&cosigned(&head, &[(1, 500), (2, later)])), Ok((1, None)));
    assert_eq!(two_of_three(&cosigned(&head, &[(1, 500), (2, later - 1)])), Ok((2, second(later - 1))));
    assert_eq!(two_of_three(&cosigned(&head, &[(1, 500), (2, 0)])), Ok((1, None)));
    // Beyond what a calendar has, and beyond the format.
    for (time, counts) in [(i64::MAX as u64, true), (1 << 63, false)] {
        let signature = private(2).sign(message(time, head.body()).as_bytes());
        let bytes = [&witness(2).0.id[..], &time.to_be_bytes(), &signature].concat();
        let line = format!("— {} {}\n", witness(2).name(), Base64::encode_string(&bytes));
        let found = two_of_three(&cosigned(&head, &[(1, 500)]).with_signatures(&line).unwrap());
        assert_eq!(found.is_ok_and(|found| found == (1, None)), counts, "{time}");
    }
    assert_eq!(head.cosign(&witness(1), &private(1), at("1969-12-31T23:59:59Z")), None);
}

#[test]
fn a_false_signature_under_a_known_witness_refuses_the_rest() {
    let (here, there) = (head(4), head(5));
    let refused = Err(ReceiptFault::WitnessSignature { witness: "witness.example/w2".to_owned() });
    let enough = cosigned(&here, &[(1, 500), (3, 300)]);
    // Another checkpoint's, another key's, another time's, a log's kind of signature, a cut one.
    let of_another_head = there.cosign(&witness(2), &private(2), at("2026-01-01T00:00:00Z")).unwrap();
    let of_another_key = here.cosign(&witness(2), &private(7), at("2026-01-01T00:00:00Z")).unwrap();
    let right = here.cosign(&witness(2), &private(2), at("2026-01-01T00:00:00Z")).unwrap();
    let bytes = decode_base64(right.trim_end().rsplit(' ').next().unwrap()).unwrap();
    let spell = |bytes: &[u8]| format!("— witness.example/w2 {}\n", Base64::encode_string(bytes));
    let mut of_another_time = bytes.clone();
    of_another_time[11] ^= 1;
    let bare = [&bytes[..4], &private(2).sign(here.body().as_bytes())].concat();
    for line in [
        of_another_head,
        of_another_key,
        spell(&of_another_time),
        spell(&bare),
        spell(&bytes[..bytes.len() - 1]),
        spell(&bytes[..10]),
        spell(&bytes[..4]),
    ] {
        assert_eq!(two_of_three(&enough.with_signatures(&line).unwrap()), refused, "{line}");
    }
    assert_eq!(two_of_three(&enough.with_signatures(&right).unwrap()).unwrap().0, 3);
}

#[test]
fn only_signature_lines_are_added() {
    let head = head(4);
    for lines in ["witness", "— w 1", "— w AAAAAAAA", "\n", "\n— w AAAAAAAA\n", "— w AAAAAAAA\n\n"] {
        assert_eq!(head.with_signatures(lines), None, "{lines:?}");
    }
    assert_eq!(head.with_signatures(""), Some(head));
}

#[test]
fn witnesses_that_prove_nothing_are_refused() {
    let new = |keys: &[WitnessKey], at_least| Witnesses::new(keys.to_vec(), at_least).map(|_| ());
    assert_eq!(new(&[], 0), Err(WitnessesError::Count { got: 0, keys: 0 }));
    assert_eq!(new(&[witness(1)], 0), Err(WitnessesError::Count { got: 0, keys: 1 }));
    assert_eq!(new(&[witness(1)], 2), Err(WitnessesError::Count { got: 2, keys: 1 }));
    let renamed = WitnessKey::new("witness.example/other", private(1).public()).unwrap();
    assert_eq!(new(&[witness(1), witness(2), renamed], 2), Err(WitnessesError::Twice { place: 2 }));
    assert_eq!(new(&[witness(1), witness(2)], 2), Ok(()));
}
