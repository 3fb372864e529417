//! The verifier in Python that was written from `docs/format.md` (`tests/outside/verifier`), on every vector.

use std::path::Path;
use std::process::Command;

use rimside_tests::{tool, top};

use crate::{
    Attack, attacks, folder,
    manifest::{Expected, Manifest},
    read_manifest,
};

fn ask(what: &str, folder: &Path) -> serde_json::Value {
    let run = Command::new(tool("venv/bin/python").unwrap())
        .args(["-B", "-m", "verifier", what])
        .arg(folder)
        .current_dir(top().join("tests/outside"))
        .output()
        .unwrap();
    assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
    serde_json::from_slice(&run.stdout).unwrap()
}

/// All but the files that are only large.
#[test]
fn it_refuses_every_attack_on_a_file_for_the_same_reason() {
    let families: [fn() -> Vec<Attack>; 15] = [
        attacks::range::byte_ranges,
        attacks::range::contents,
        attacks::range::planted,
        attacks::syntax::spellings,
        attacks::syntax::streams,
        attacks::container::around,
        attacks::container::revisions,
        attacks::container::layouts,
        attacks::container::tables,
        attacks::structure::trees,
        attacks::structure::pages,
        attacks::structure::signatures,
        attacks::active::actions,
        attacks::active::covers,
        attacks::attachment::attachments,
    ];
    let attacks: Vec<Attack> = families.iter().flat_map(|family| family()).collect();
    let files = tempfile::tempdir().unwrap();
    for (nth, attack) in attacks.iter().enumerate() {
        std::fs::write(files.path().join(nth.to_string()), &attack.file).unwrap();
    }
    let said = ask("structure", files.path());
    let mut differing = Vec::new();
    for (nth, Attack { name, code, .. }) in attacks.iter().enumerate() {
        let got = said[nth.to_string()].as_str().unwrap_or("none");
        if got != code.as_str() {
            differing.push(format!("{name}: got {got}, expected {code}"));
        }
    }
    assert!(differing.is_empty(), "{}", differing.join("\n"));
}

#[test]
fn a_verifier_from_the_page_agrees_on_every_vector() {
    let said = ask("vectors", &folder());
    let Manifest { reports, logs, .. } = read_manifest();
    let mut differing = Vec::new();
    for report in reports {
        let got: Expected = serde_json::from_value(said["reports"][&report.name].clone()).unwrap();
        let mut expected = report.expected;
        if let Some(otherwise) = report.without_drawing {
            (expected.unchanged, expected.headline) = (otherwise.unchanged, otherwise.headline);
        }
        if got != expected {
            differing.push(format!("{}: got {got:#?}, expected {expected:#?}", report.name));
        }
    }
    for log in logs {
        let got = said["logs"][&log.name].as_str().unwrap_or_default();
        if got != log.expected {
            differing.push(format!("{}: got {got}, expected {}", log.name, log.expected));
        }
    }
    assert!(differing.is_empty(), "{}", differing.join("\n"));
}
