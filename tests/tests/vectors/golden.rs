//! What is written once and looked at: the vectors' folder, the schemas beside the page. `cargo xtask golden` writes them.

use std::collections::BTreeSet;

use rimside_tests::top;

use crate::{MANIFEST, folder, list_all, make::make, read};

fn writes() -> bool {
    std::env::var_os("RIMSIDE_GOLDEN").is_some_and(|mode| mode == "write")
}

/// The bytes that are there are compared with what the generator makes: it is still the way to them.
#[test]
fn the_generator_makes_these_very_files() {
    let made = make();
    let mut files = made.files;
    let mut text = serde_json::to_string_pretty(&made.manifest).unwrap();
    text.push('\n');
    files.insert(MANIFEST.to_owned(), text.into_bytes());
    if writes() {
        // Nothing is left of what is made no longer.
        let _ = std::fs::remove_dir_all(folder());
        for (path, bytes) in &files {
            let path = folder().join(path);
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(path, bytes).unwrap();
        }
    }
    assert_eq!(files.keys().cloned().collect::<BTreeSet<_>>(), list_all());
    for (path, bytes) in &files {
        assert!(*bytes == read(path), "{path} is not what the generator makes; `cargo xtask golden` writes it");
    }
}

#[test]
fn the_schemas_beside_the_page_are_the_models() {
    let schemas = [
        ("record.schema.json", model::record_schema()),
        ("condition-statement.schema.json", model::condition_statement_schema()),
    ];
    for (name, schema) in schemas {
        let path = top().join("docs").join(name);
        let text = format!("{}\n", serde_json::to_string_pretty(&schema).unwrap());
        if writes() {
            std::fs::write(&path, &text).unwrap();
        }
        assert!(std::fs::read_to_string(&path).unwrap_or_default() == text, "{name} is not the model's");
    }
}
