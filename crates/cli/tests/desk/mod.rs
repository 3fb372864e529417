//! A folder with an inspection of the invented scenario and a passphrase, in which `rimside` is run.

#![allow(dead_code, reason = "each test file uses its own part")]

use std::{
    fs,
    path::{Path, PathBuf},
    process::{Command, Output, Stdio},
    sync::LazyLock,
};

use demo::scenario::{DrawnPhotograph, inspect, visits};

pub const PASSPHRASE: &str = "an invented phrase";

/// The first visit, with photographs as small as they can be.
static VISIT: LazyLock<(serde_json::Value, Vec<DrawnPhotograph>)> = LazyLock::new(|| {
    let (inspection, photographs) = inspect(&visits()[0], (64, 48)).unwrap();
    (serde_json::to_value(inspection).unwrap(), photographs)
});

pub struct Desk {
    folder: tempfile::TempDir,
}

impl Desk {
    /// An inspection, its photographs, a passphrase.
    pub fn lay_out() -> Self {
        let desk = Self { folder: tempfile::tempdir().unwrap() };
        let (inspection, photographs) = &*VISIT;
        fs::write(desk.at("inspection.json"), format!("{inspection:#}")).unwrap();
        fs::write(desk.at("passphrase"), PASSPHRASE).unwrap();
        fs::create_dir(desk.at("photographs")).unwrap();
        for photograph in photographs {
            fs::write(desk.at(&format!("photographs/{}.jpg", photograph.id())), &photograph.bytes).unwrap();
        }
        desk
    }

    /// With a firm and its inspector too.
    pub fn set_up() -> Self {
        let desk = Self::lay_out();
        let found =
            ["firm", "found", "firm", "--name", "Harbour & Vale Inspections", "--passphrase-file", "passphrase"];
        desk.expect(0, &found);
        desk.certify("ines", "Ines Okafor-Lind", "inspector");
        desk
    }

    pub fn certify(&self, id: &str, name: &str, role: &str) {
        let certify = ["certify", "--firm", "firm", "--id", id, "--name", name, "--role", role];
        self.expect(0, &[&certify[..], &["--passphrase-file", "passphrase"]].concat());
    }

    pub fn at(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_rimside"));
        command.args(arguments).current_dir(self.folder.path()).stdin(Stdio::null());
        command
    }

    pub fn run(&self, arguments: &[&str]) -> Output {
        self.command(arguments).output().unwrap()
    }

    /// Runs it, checks the exit code, and returns what went to standard output.
    pub fn expect(&self, code: i32, arguments: &[&str]) -> String {
        let output = self.run(arguments);
        let said = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(code), "{arguments:?}: {said}");
        assert!(!said.contains("panicked"), "{said}");
        String::from_utf8(output.stdout).unwrap()
    }

    /// The arguments that seal the inspection.
    #[allow(clippy::unused_self, reason = "it reads as what is done at this desk")]
    pub fn seal<'a>(&self, out: &'a str) -> Vec<&'a str> {
        vec![
            "seal",
            "inspection.json",
            "--photographs",
            "photographs",
            "--firm",
            "firm",
            "--as",
            "ines",
            "--passphrase-file",
            "passphrase",
            "--out",
            out,
        ]
    }

    /// Everything in a folder, hidden files too.
    pub fn list(&self, folder: &str) -> Vec<String> {
        list(&self.at(folder))
    }
}

pub fn list(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> =
        fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}
