use seal::key::{PrivateKey, PublicKey};

use super::*;

const ORIGIN: &str = "log.example/north-bay";

fn private() -> PrivateKey {
    PrivateKey::from_seed(&[7; 32])
}

fn key() -> LogKey {
    LogKey::new(ORIGIN, private().public()).unwrap()
}

fn grown(count: u64) -> Tree {
    let mut tree = Tree::default();
    for nth in 0..count {
        tree.append(format!("entry {nth}").as_bytes());
    }
    tree
}

fn head(tree: &Tree, size: u64) -> Checkpoint {
    Checkpoint::sign(ORIGIN, size, tree.root_at(size).unwrap(), &private())
}

#[test]
fn growth_is_signed_from_every_size_to_every_other() {
    let tree = grown(40);
    for old in 0..=40 {
        for size in old..=40 {
            let asked = AddCheckpoint::new(&tree, old, head(&tree, size)).unwrap();
            assert_eq!(AddCheckpoint::parse(&asked.to_text()), Some(asked.clone()));
            let latest = (old > 0).then(|| head(&tree, old));
            assert_eq!(asked.judge(Some(&key()), latest.as_ref()), Ok(()), "{old} to {size}");
        }
    }
    assert_eq!(AddCheckpoint::new(&tree, 5, head(&tree, 4)), None);
}

#[test]
fn each_refusal_has_its_status() {
    let (tree, mut fork) = (grown(12), grown(7));
    fork.append(b"another entry");
    let ask = |old, size| AddCheckpoint::new(&tree, old, head(&tree, size)).unwrap();
    let latest = head(&tree, 8);
    let judge = |asked: &AddCheckpoint| asked.judge(Some(&key()), Some(&latest)).map_err(|refusal| refusal.status());
    assert_eq!(judge(&ask(8, 12)), Ok(()));
    assert_eq!(judge(&ask(8, 8)), Ok(()), "the same head again");
    assert_eq!(ask(8, 12).judge(None, Some(&latest)), Err(WitnessRefusal::UnknownLog));
    let renamed = LogKey::new("log.example/south-bay", private().public()).unwrap();
    assert_eq!(ask(8, 12).judge(Some(&renamed), None).unwrap_err().status(), 404);
    let foreign = LogKey::new(ORIGIN, PrivateKey::from_seed(&[8; 32]).public()).unwrap();
    assert_eq!(ask(8, 12).judge(Some(&foreign), Some(&latest)).unwrap_err().status(), 403);
    assert_eq!(judge(&AddCheckpoint { old: 13, ..ask(8, 12) }), Err(400));
    for (old, size) in [(0, 12), (7, 12), (9, 12), (0, 3)] {
        assert_eq!(ask(old, size).judge(Some(&key()), Some(&latest)), Err(WitnessRefusal::Moved { size: 8 }), "{old}");
    }
    assert_eq!(ask(8, 12).judge(Some(&key()), None), Err(WitnessRefusal::Moved { size: 0 }));
    // Another tree of the same size, one that grew from another, a proof that is cut, one where none is needed.
    let other = AddCheckpoint { checkpoint: head(&fork, 8), ..ask(8, 8) };
    assert_eq!(judge(&other), Err(422));
    fork.append(b"and one more");
    assert_eq!(judge(&AddCheckpoint::new(&fork, 8, head(&fork, 9)).unwrap()), Err(422));
    assert_eq!(judge(&AddCheckpoint { proof: ask(8, 12).proof[1..].to_vec(), ..ask(8, 12) }), Err(422));
    let proved = AddCheckpoint { proof: ask(8, 12).proof, ..ask(0, 12) };
    assert_eq!(proved.judge(Some(&key()), None).unwrap_err().status(), 422);
    // A tree of nothing has one root.
    let empty =
        |root| AddCheckpoint { old: 0, proof: Vec::new(), checkpoint: Checkpoint::sign(ORIGIN, 0, root, &private()) };
    assert_eq!(empty(nothing()).judge(Some(&key()), None), Ok(()));
    assert_eq!(empty(Sha256Digest::of(b"x")).judge(Some(&key()), None).unwrap_err().status(), 422);
}

#[test]
fn another_spelling_is_no_request() {
    let tree = grown(12);
    let text = AddCheckpoint::new(&tree, 7, head(&tree, 12)).unwrap().to_text();
    let hash = text.lines().nth(1).unwrap();
    for bad in [
        String::new(),
        text.replace("old 7", "old 07"),
        text.replace("old 7", "old +7"),
        text.replace("old 7", "old -7"),
        text.replace("old 7", "7"),
        text.replacen('\n', "\r\n", 1),
        text.replace("\n\n", "\n"),
        text.replacen(hash, &format!("{hash}="), 1),
        text.replacen(hash, &hash[4..], 1),
        text.replacen(hash, "", 1),
        format!("{text}\n"),
        text.trim_end().to_owned(),
    ] {
        assert_eq!(AddCheckpoint::parse(&bad), None, "{bad:?}");
    }
    let most = |count: usize| text.replacen(hash, &vec![hash; count].join("\n"), 1);
    let others = text.split_once("\n\n").unwrap().0.lines().count() - 2;
    assert!(AddCheckpoint::parse(&most(63 - others)).is_some());
    assert_eq!(AddCheckpoint::parse(&most(64 - others)), None);
}

// What follows is torchwood, cmd/litewitness/testdata/litewitness.txt (commit 341dc2f0, ISC): requests of a log to a running
// witness, one after the other, and its answers. For an unknown log that witness answers 403, the specification 404. Its false
// signature ends in `6gx=`, which here is no base64 at all.

const THEIRS: &str = "sigsum.org/v1/tree/4d6d8825a6bb689d459628312889dfbb0bcd41b5211d9e1ce768b0ff0309e562";
const ONE: &str = "1\nKgAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=";
const ONE_SIGNED: &str = "UgIom7fPZTqpxWWhyjWduBvTvGVqsokMbqTArsQilegKoFBJQjUFAmQ0+YeSPM3wfUQMFSzVnnNuWRTYrajXpNUbIQY=";
const THREE: &str = "3\nRcCI1Nk56ZcSmIEfIn0SleqtV7uvrlXNccFx595Iwl0=";
const THREE_SIGNED: &str =
    "UgIom2VbtIcdFbwFAy1n7s6IkAxIY6J/GQOTuZF2ORV39d75cbAj2aQYwyJre36kezNobZs4SUUdrcawfAB8WVrx6go=";
const FIVE: &str = "5\nQrtXrQZCCvpIgsSmOsah7HdICzMLLyDfxToMql9WTjY=";
const FIVE_SIGNED: &str =
    "UgIomw/EOJmWi0i1FQsOj+etB7F8IccFam/jgd6wzRns4QPVmyEZtdvl1U2KEmLOZ/ASRcWJi0tW90dJWAShei7sDww=";
const ONE_TO_THREE: &str =
    "old 1\nKgEAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=\nKgIAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=\n";
const ONE_TO_FIVE: &str = "old 1\nKgEAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=\n\
    +fUDV+k970B4I3uKrqJM4aP1lloPZP8mvr2Z4wRw2LI=\nKgQAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=\n";
const THREE_TO_FIVE: &str = "old 3\nKgIAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=\n\
    KgMAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=\nwgiIFdZfYNv6WU1OllBKsWnLYIS/DBMqt8Uh/S4OukE=\n\
    KgQAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=\n";

#[test]
fn a_conversation_of_others_goes_as_it_went() {
    let key =
        PublicKey::parse(&hex::decode("ffdc2d4d98e4124d3feaf788c0c2f9abfd796083d1f0495437f302ec79cf100f").unwrap());
    let key = LogKey::new(THEIRS, key.unwrap()).unwrap();
    let mut latest: Option<Checkpoint> = None;
    let mut say = |origin: &str, proof: &str, tree: &str, signed: &str| {
        let asked = AddCheckpoint::parse(&format!("{proof}\n{origin}\n{tree}\n\n— {origin} {signed}\n")).unwrap();
        match asked.judge(Some(&key), latest.as_ref()) {
            Ok(()) => {
                latest = Some(asked.checkpoint);
                (200, None)
            }
            Err(WitnessRefusal::Moved { size }) => (409, Some(size)),
            Err(refusal) => (refusal.status(), None),
        }
    };
    assert_eq!(say(THEIRS, "old 0\n", ONE, ONE_SIGNED), (200, None));
    let false_signature = THREE_SIGNED.replace("6go=", "6gw=");
    assert_eq!(say(THEIRS, ONE_TO_THREE, THREE, &false_signature), (403, None));
    let other = THEIRS.replace("e562", "e563");
    assert_eq!(say(&other, ONE_TO_THREE, THREE, THREE_SIGNED), (404, None));
    assert_eq!(say(THEIRS, "old 1\n", THREE, THREE_SIGNED), (422, None));
    let false_proof = ONE_TO_THREE
        .replace("KgIAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAA=", "KgIAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAAABAA=");
    assert_eq!(say(THEIRS, &false_proof, THREE, THREE_SIGNED), (422, None));
    assert_eq!(say(THEIRS, ONE_TO_THREE, THREE, THREE_SIGNED), (200, None));
    assert_eq!(say(THEIRS, ONE_TO_FIVE, FIVE, FIVE_SIGNED), (409, Some(3)));
    assert_eq!(say(THEIRS, THREE_TO_FIVE, FIVE, FIVE_SIGNED), (200, None));
    assert_eq!(say(THEIRS, "old 0\n", FIVE, FIVE_SIGNED), (409, Some(5)));
}
