use super::*;

#[test]
fn the_note_format_agrees_with_its_specification() {
    // c2sp.org/signed-note, section "Verifier keys", example; the checkpoint layout is c2sp.org/tlog-checkpoint's.
    let key = LogKey::parse("example.com/foo+530d903a+AekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2k").unwrap();
    assert_eq!(key.name(), "example.com/foo");
    assert_eq!(key.to_text(), "example.com/foo+530d903a+AekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2k");
    let changed = LogKey::parse("example.com/fob+530d903a+AekyeRrm56hApGFkyQR4ZCbV54Id2LKaANYcrnKv3U2k");
    assert_eq!(changed, Err(NoteKeyError::Id));
    let signature = "Uw2QOkn8srV1yJGh2VYRlL1Tnagv1YEq6TfXppzi2ONncAlTgK7Ztg1ERYNZXsYjOBH3mFXmRKuwHjG1Yu72IneyaQM=";
    let bytes = decode_base64(signature).unwrap();
    assert_eq!(bytes[..4], [0x53, 0x0d, 0x90, 0x3a]);
    key.public_key().check(b"This is an example message.\n", &bytes[4..]).unwrap();
}

const PETER: &str = "PeterNeumann+c74f20a3+ARpc2QcUPDhMQegwxbzhKqiBfsVkmqq/LDE4izWy10TW";
const PETER_SEED: &str = "810a1402d5146c8d84f2443330f54080ebf98ee17d9c74f6252fc5d5c7283173";
const ENOCH: &str = "EnochRoot+af0cfe78+ATtqJ7zOtqQtYqOo0CpvDXNlMhV3HeJDpjrASKGLWdop";
const PETER_LINE: &str =
    "— PeterNeumann x08go/ZJkuBS9UG/SffcvIAQxVBtiFupLLr8pAcElZInNIuGUgYN1FFYC2pZSNXgKvqfqdngotpRZb6KE6RyyBwJnAM=";
const ENOCH_LINE: &str =
    "— EnochRoot rwz+eBzmZa0SO3NbfRGzPCpDckykFXSdeX+MNtCOXm2/5n2tiOHp+vAF1aGrQ5ovTG01oOTGwnWLox33WWd1RvMc+QQ=";
const TEXT: &str =
    "If you think cryptography is the answer to your problem,\nthen you don't know what your problem is.\n";

// What follows is golang.org/x/mod/sumdb/note, note_test.go (commit fe2ec04f, BSD-3-Clause): its keys, its note, its manglings.

#[test]
fn no_mangled_key_is_read() {
    assert_eq!(LogKey::parse(PETER).unwrap().to_text(), PETER);
    for from in 0..=PETER.len() {
        for to in from..=PETER.len() {
            assert!((from, to) == (0, PETER.len()) || LogKey::parse(&PETER[from..to]).is_err(), "{from} to {to}");
        }
    }
    for at in 0..PETER.len() {
        let mut mangled = PETER.as_bytes().to_vec();
        mangled[at] += 1;
        assert!(LogKey::parse(std::str::from_utf8(&mangled).unwrap()).is_err(), "{at}");
    }
    let of_another_length = "PeterNeumann+cc469956+ARpc2QcUPDhMQegwxbzhKqiBfsVkmqq/LDE4izWy10TWBADKEY==";
    let of_another_type = "PeterNeumann+173116ae+ZRpc2QcUPDhMQegwxbzhKqiBfsVkmqq/LDE4izWy10TW";
    assert!(LogKey::parse(of_another_length).is_err());
    assert_eq!(LogKey::parse(of_another_type), Err(NoteKeyError::Type { got: 0x65, expected: 1 }));
}

#[test]
fn signatures_of_others_are_read_checked_and_made_to_the_byte() {
    for (key, line) in [(PETER, PETER_LINE), (ENOCH, ENOCH_LINE)] {
        let key = LogKey::parse(key).unwrap();
        let read = parse_signature(line).unwrap();
        assert!(read.is_of(&key.0));
        key.public_key().check(TEXT.as_bytes(), &read.signature).unwrap();
        assert!(key.public_key().check(&TEXT.as_bytes()[1..], &read.signature).is_err());
    }
    let seed = <[u8; 32]>::try_from(hex::decode(PETER_SEED).unwrap()).unwrap();
    let signature = PrivateKey::from_seed(&seed).sign(TEXT.as_bytes());
    let id = LogKey::parse(PETER).unwrap().0.id;
    assert_eq!(format!("— PeterNeumann {}", Base64::encode_string(&[&id[..], &signature].concat())), PETER_LINE);
    // The same name or the same id alone is another key.
    for other in [PETER_LINE.replace("PeterNeumann", "CarmenSandiego"), PETER_LINE.replace("x08g", "xxxx")] {
        assert!(!parse_signature(&other).unwrap().is_of(&LogKey::parse(PETER).unwrap().0), "{other}");
    }
}

#[test]
fn what_is_no_note_is_no_checkpoint() {
    // The text of the specification's checkpoint (C2SP tlog-checkpoint), with the manglings of that test.
    let text = "example.com/behind-the-sofa\n20852163\nCsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=\n";
    let line = "— example.com/behind-the-sofa Az3grlgtzPICa5OS8npVmf1Myq/5IZniMp+ZJurmRDeOoRDe4URYN7u5/Zhcyv2q1gGzGku9nTo+zyWE+xeMcTOAYQ8=\n";
    let whole = format!("{text}\n{line}");
    let read = Checkpoint::parse(&whole).unwrap();
    assert_eq!((read.origin(), read.size()), ("example.com/behind-the-sofa", 20_852_163));
    assert_eq!(read.body(), text);
    for bad in [
        text.to_owned(),
        format!("{text}\n"),
        whole[..whole.len() - 1].to_owned(),
        format!("\u{1}{whole}"),
        format!("{text}\n— Bad Name {}", &line[4..]),
        format!("{whole}Unexpected line.\n"),
        format!("{text}\n{}", line.repeat(101)),
        whole.replace("20852163", "020852163"),
        whole.replace("20852163", "-1"),
    ] {
        assert_eq!(Checkpoint::parse(&bad), None, "{bad:?}");
    }
    // The format asks for at least sixteen signatures.
    assert!(Checkpoint::parse(&format!("{text}\n{}", line.repeat(16))).is_some());
}

#[test]
fn a_name_is_one_word_without_a_plus() {
    let public = PrivateKey::from_seed(&[9; 32]).public();
    assert!(LogKey::new("log.example/north-bay", public).is_ok());
    // c2sp.org/signed-note: not empty, no Unicode spaces, no plus.
    for name in ["", "north bay", "north\u{a0}bay", "north+bay", "north\nbay", "north\u{7}bay"] {
        assert_eq!(LogKey::new(name, public), Err(NoteKeyError::Name { got: name.to_owned() }));
    }
}

#[test]
fn a_checkpoint_has_a_name_and_no_fourth_line() {
    let key = PrivateKey::from_seed(&[9; 32]);
    let good = Checkpoint::sign("log.example/north-bay", 7, Sha256Digest::of(b"a tree"), &key);
    let (body, signatures) = good.text.rsplit_once("\n\n").unwrap();
    assert_eq!(Checkpoint::parse(&format!("{body}\n\n{signatures}")).as_ref(), Some(&good));
    assert_eq!(good.signature_lines(), signatures);
    assert_eq!(Checkpoint::parse(&format!("{body}\nan extension\n\n{signatures}")), None);
    let nameless = body.strip_prefix("log.example/north-bay").unwrap();
    assert_eq!(Checkpoint::parse(&format!("{nameless}\n\n{signatures}")), None);
}

#[test]
fn the_lines_of_one_key_are_told_from_those_of_others() {
    let key = |seed| PrivateKey::from_seed(&[seed; 32]);
    let log_key = LogKey::new("log.example/north-bay", key(9).public()).unwrap();
    let good = Checkpoint::sign("log.example/north-bay", 7, Sha256Digest::of(b"a tree"), &key(9));
    let other = Checkpoint::sign("log.example/south-bay", 7, Sha256Digest::of(b"a tree"), &key(8));
    let both = good.with_signatures(other.signature_lines()).unwrap();
    assert_eq!(both.signature_lines(), format!("{}{}", good.signature_lines(), other.signature_lines()));
    assert_eq!(both.only_signed_by(&log_key), Some(good));
    assert_eq!(other.only_signed_by(&log_key), None);
}
