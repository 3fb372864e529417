//! What the window lets its pages do: ask the core and an office, and nothing else.
#![allow(clippy::unwrap_used, reason = "a test may stop where its own ground is missing")]

use std::{collections::BTreeSet, fs, path::Path};

use serde_json::Value;

fn read(file: &str) -> Value {
    serde_json::from_slice(&fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join(file)).unwrap()).unwrap()
}

#[test]
fn the_pages_may_call_our_own_commands_alone() {
    let capabilities: Vec<_> =
        fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("capabilities")).unwrap().collect();
    assert_eq!(capabilities.len(), 1);
    let field = read("capabilities/field.json");
    let allowed: BTreeSet<&str> =
        field["permissions"].as_array().unwrap().iter().map(|one| one.as_str().unwrap()).collect();
    assert_eq!(
        allowed,
        BTreeSet::from(["allow-bring", "allow-ask", "allow-step", "allow-stop", "allow-carry", "allow-save"])
    );
    assert_eq!((&field["local"], &field["remote"]), (&Value::Bool(true), &Value::Null));
    assert_eq!(read("tauri.conf.json")["app"]["security"]["capabilities"], serde_json::json!(["field"]));
}

#[test]
fn the_policy_lets_no_foreign_and_no_inline_script_in() {
    let configured = read("tauri.conf.json");
    let security = &configured["app"]["security"];
    let policy = security["csp"].as_str().unwrap();
    let directives: BTreeSet<&str> = policy.split("; ").collect();
    for needed in ["default-src 'none'", "script-src 'self'", "base-uri 'none'", "form-action 'none'"] {
        assert!(directives.contains(needed), "{needed}");
    }
    for refused in ["unsafe-inline", "unsafe-eval'", "https:", "*", "data:"] {
        assert!(!policy.replace("'wasm-unsafe-eval'", "").contains(refused), "{refused}");
    }
    assert_eq!(
        (&security["freezePrototype"], &configured["app"]["withGlobalTauri"]),
        (&Value::Bool(true), &Value::Bool(false))
    );
}
