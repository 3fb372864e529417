//! What device and office say to each other.

use model::{Carried, Change, Entry, Sha256};
use serde_json::{json, to_vec};
use sync::{Answer, Ask, Awaited, Bring, Brought, Finish, Follow, Forked, Issued, Kind, Sealed, Stamp, State, Wanted};

use super::{Seeds, replace};

pub fn messages() -> Seeds {
    let (whole, erased) = (carried(), Carried { body: None, link: Some(Sha256::of(b"before")), ..carried() });
    let ask = Ask {
        epoch: None,
        seen: 0,
        own: 2,
        entries: vec![whole.clone(), erased.clone()],
        reports_seen: 0,
        unstamped: Some(vec![Sha256::of(b"a report")]),
        wants_after: Some(Sha256::of(b"a photograph that is gone")),
    };
    let sha256 = Sha256::of(b"a photograph");
    let wants = vec![Wanted { sha256, pieces: vec![0, 2] }];
    let answer = Answer {
        epoch: "9f2c".to_owned(),
        seen: 7,
        more: true,
        held: 2,
        entries: vec![erased],
        wants: wants.clone(),
        reports_seen: 1,
        reports: vec![Sealed { identity: Sha256::of(b"a report"), sha256 }],
        stamps: Some(vec![Stamp::carry(Sha256::of(b"a report"), b"a token")]),
    };
    let awaited = vec![Awaited { inspection: Some(whole.inspection), kind: Kind::Photograph, sha256 }];
    let text = serde_json::to_string(&ask).unwrap();
    let swap = |from: &str, to: &str| replace(&text, from, to);
    vec![
        ("valid-ask", text.clone().into_bytes()),
        ("valid-answer", to_vec(&answer).unwrap()),
        ("valid-issued", to_vec(&Issued::carry(b"a signature")).unwrap()),
        ("valid-bring", to_vec(&Bring { sha256, length: 1 << 21 }).unwrap()),
        ("valid-brought", to_vec(&Brought { here: false, pieces: vec![1] }).unwrap()),
        ("valid-wanted", to_vec(&wants[0]).unwrap()),
        ("valid-forked", to_vec(&Forked { at: 3 }).unwrap()),
        ("valid-follow", to_vec(&Follow { device: "bay-2".parse().unwrap(), token: "00".repeat(32) }).unwrap()),
        ("valid-finish", to_vec(&Finish { length: 1 }).unwrap()),
        ("valid-state", to_vec(&State { awaited, ..State::default() }).unwrap()),
        ("broken-cut", text.as_bytes()[..text.len() / 2].to_vec()),
        ("broken-unknown-key", swap("{", "{\"aaa\":1,")),
        ("broken-key-twice", swap("\"own\"", "\"seen\":1,\"own\"")),
        ("broken-number", swap("\"own\":2", "\"own\":-2")),
        ("broken-fraction", swap("\"own\":2", "\"own\":2.5")),
        ("broken-endless", swap("81500", "1e999")),
        ("broken-digest", swap("\"body_digest\":\"", "\"body_digest\":\"F")),
        ("broken-name", swap("\"id\":\"bay-1:1\"", "\"id\":\"bay-1\"")),
        ("broken-nesting", swap("81500", &"[".repeat(200))),
        ("broken-text", swap("Ines", "\\ud800")),
        ("broken-bytes", [b"{\"signature\":\"\xff", &text.as_bytes()[..20]].concat()),
        ("broken-trailing", [text.as_bytes(), b"{}"].concat()),
        ("broken-empty", Vec::new()),
    ]
}

fn carried() -> Carried {
    Carried::whole(Entry {
        id: "bay-1:1".parse().unwrap(),
        inspection: "visit-1".parse().unwrap(),
        path: "photographs.front".to_owned(),
        value: json!({"sha256": Sha256::of(b"a photograph"), "odometer": 81500, "share": 0.1}),
        replaces: vec!["bay-1:1".parse().unwrap()],
        change: Change::TakenBack(1),
        written_at: "2026-11-24T10:00:00+01:00".parse().unwrap(),
        author: "Ines Okafor-Lind".try_into().unwrap(),
        salt: "00112233445566778899aabbccddeeff".parse().unwrap(),
    })
}
