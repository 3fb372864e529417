//! The map in DEVELOPERS.md and the house are the same.
#![allow(clippy::unwrap_used, reason = "a test may stop where its own ground is missing")]

use std::collections::{BTreeMap, BTreeSet};
use std::process::Command;

use rimside_tests::top;
use serde_json::Value;

/// Room to what it may use, as the map says.
fn map() -> BTreeMap<String, String> {
    let text = std::fs::read_to_string(top().join("DEVELOPERS.md")).unwrap();
    text.lines()
        .skip_while(|line| !line.starts_with("| crate | what it is | may use |"))
        .skip(2)
        .take_while(|line| line.starts_with('|'))
        .map(|line| {
            let cells: Vec<_> = line.trim_matches('|').split('|').map(str::trim).collect();
            (cells[0].trim_matches('`').to_owned(), cells[2].to_owned())
        })
        .collect()
}

/// Room to the rooms that it does use, as cargo says; what only tests use does not count.
fn house() -> BTreeMap<String, BTreeSet<String>> {
    let output = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version", "1", "--no-deps", "--locked"])
        .current_dir(top())
        .output()
        .unwrap();
    let metadata: Value = serde_json::from_slice(&output.stdout).unwrap();
    let room = |path: &str| {
        let path = path.trim_end_matches("/Cargo.toml");
        path.strip_prefix(top().to_str().unwrap()).unwrap_or(path).trim_start_matches('/').to_owned()
    };
    let packages = metadata["packages"].as_array().unwrap();
    packages
        .iter()
        .map(|package| {
            let uses = package["dependencies"].as_array().unwrap().iter().filter(|used| used["kind"].is_null());
            let uses = uses.filter_map(|used| used["path"].as_str()).map(room).collect();
            (room(package["manifest_path"].as_str().unwrap()), uses)
        })
        .collect()
}

#[test]
fn the_map_names_every_room_and_no_other() {
    let (map, house) = (map(), house());
    assert_eq!(map.keys().collect::<Vec<_>>(), house.keys().collect::<Vec<_>>());
}

#[test]
fn no_room_uses_what_the_map_does_not_allow() {
    let map = map();
    for (room, uses) in house() {
        let allowed = &map[&room];
        if allowed == "all above" {
            continue;
        }
        let allowed: BTreeSet<_> = allowed.split(',').map(|name| format!("crates/{}", name.trim())).collect();
        let extra: Vec<_> = uses.difference(&allowed).collect();
        assert!(extra.is_empty(), "{room} uses {extra:?}; the map allows {allowed:?}");
    }
}
