//! The verifier in Python that was written from `docs/format.md` alone (`tests/outside/verifier`), on every vector.

use std::process::Command;

use rimside_tests::{tool, top};

use crate::{
    folder,
    manifest::{Expected, Manifest},
    read_manifest,
};

#[test]
fn a_verifier_from_the_page_alone_agrees_on_every_vector() {
    let run = Command::new(tool("venv/bin/python").unwrap())
        .args(["-B", "-m", "verifier", "vectors"])
        .arg(folder())
        .current_dir(top().join("tests/outside"))
        .output()
        .unwrap();
    assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
    let said: serde_json::Value = serde_json::from_slice(&run.stdout).unwrap();
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
