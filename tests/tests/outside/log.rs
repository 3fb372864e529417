//! Our log's tree beside pymerkle's (`tests/outside/log.py`): the same roots, and proofs that its hashes follow.

use std::io::Write as _;
use std::process::{Command, Stdio};

use rimside_tests::{tool, top};
use serde_json::{Value, json};
use server::log::Tree;

#[test]
fn roots_and_proofs_are_those_of_another_library() {
    let entries: Vec<String> = (0..300).map(|nth| format!("rimside.log-entry/1\nentry {nth}\n")).collect();
    let mut tree = Tree::default();
    for entry in &entries {
        tree.append(entry.as_bytes());
    }
    let sizes = [1, 2, 3, 7, 8, 100, 255, 256, 257, 300];
    let mut proofs = Vec::new();
    for size in sizes {
        for index in [0, size / 3, size / 2, size - 1] {
            let path: Vec<String> = tree.prove(index, size).unwrap().iter().map(ToString::to_string).collect();
            proofs.push(json!([index, size, path]));
        }
    }
    let mut asked = Command::new(tool("venv/bin/python").unwrap())
        .arg(top().join("tests/outside/log.py"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let question = json!({ "entries": entries, "proofs": proofs });
    asked.stdin.take().unwrap().write_all(question.to_string().as_bytes()).unwrap();
    let out = asked.wait_with_output().unwrap();
    assert!(out.status.success(), "the script failed");
    let said: Value = serde_json::from_slice(&out.stdout).unwrap();
    for (root, size) in said["roots"].as_array().unwrap().iter().zip(1..) {
        assert_eq!(tree.root_at(size).unwrap().to_hex(), root.as_str().unwrap(), "{size} entries");
    }
    assert_eq!(said["proved"].as_array().unwrap().len(), proofs.len());
    assert!(said["proved"].as_array().unwrap().iter().all(|proved| proved == true), "{}", said["proved"]);
}
