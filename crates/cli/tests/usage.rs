//! A command that is misspelt, for programs that read JSON.

#![allow(clippy::unwrap_used, reason = "tests")]

mod desk;

use desk::Desk;
use serde_json::Value;

#[test]
fn a_misspelt_command_is_told_as_json_where_that_was_asked_for() {
    let desk = Desk::lay_out();
    for arguments in [&["verify", "--json"][..], &["--json", "inspect"], &["--json"]] {
        let said: Value = serde_json::from_str(&desk.expect(64, arguments)).unwrap();
        assert_eq!(said["fault"]["code"], "usage", "{arguments:?}");
        assert!(said["fault"]["message"].as_str().unwrap().contains("Usage:"), "{said:#}");
    }
    assert!(desk.expect(0, &["--json", "--help"]).contains("Exit codes:"));
}
