//! The office as a service: what the unit says holds by the service manager's own measure, and whoever started the program is
//! told when it is open and when it closes.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests, with helpers outside of the test functions")]

mod desk;
mod served;

use std::{
    fs,
    os::unix::net::UnixDatagram,
    process::{Command, Stdio},
    time::Duration,
};

use desk::Desk;
use nix::{
    sys::signal::{Signal, kill},
    unistd::Pid,
};
use served::checkout;

/// The most exposure that the manager may find, of 100; 12 was found by systemd 252.
const EXPOSURE: &str = "--threshold=15";

/// The unit, with this build's program in the installed one's place.
fn unit(desk: &Desk) -> String {
    let text = fs::read_to_string(checkout("crates/cli/debian/rimside.service")).unwrap();
    assert!(text.contains("\nExecStart=/usr/bin/rimside serve "), "{text}");
    let file = desk.at("rimside.service");
    fs::write(&file, text.replace("/usr/bin/rimside", env!("CARGO_BIN_EXE_rimside"))).unwrap();
    file.display().to_string()
}

/// What `systemd-analyze` says; none on a machine without it.
fn analyze(arguments: &[&str]) -> Option<(bool, String)> {
    let output = Command::new("systemd-analyze").args(arguments).output().ok()?;
    let said = [output.stdout, output.stderr].concat();
    Some((output.status.success(), String::from_utf8_lossy(&said).into_owned()))
}

#[test]
fn the_unit_is_one_and_shuts_the_office_in() {
    let desk = Desk::lay_out();
    let unit = unit(&desk);
    let Some((is_unit, said)) = analyze(&["verify", &unit]) else {
        println!("not looked at: this machine has no systemd-analyze");
        return;
    };
    assert!(is_unit && !said.contains("rimside.service:"), "{said}");
    let (is_shut_in, said) = analyze(&["security", "--offline=true", EXPOSURE, &unit]).unwrap();
    assert!(is_shut_in, "{said}");
}

#[test]
fn whoever_started_it_is_told_when_it_is_open_and_when_it_closes() {
    let desk = Desk::lay_out();
    desk.expect(0, &["log", "found", "log", "--name", "log.example/firm", "--passphrase-file", "passphrase"]);
    let told = UnixDatagram::bind(desk.at("told")).unwrap();
    // So that a program that says nothing fails the test and does not hold it up.
    told.set_read_timeout(Some(Duration::from_mins(1))).unwrap();
    let mut served = desk
        .command(&["serve", "log", "--listen", "127.0.0.1:0", "--passphrase-file", "passphrase"])
        .env("NOTIFY_SOCKET", desk.at("told"))
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let hear = || {
        let mut room = [0; 200];
        let length = told.recv(&mut room).unwrap();
        String::from_utf8_lossy(&room[..length]).trim().to_owned()
    };
    assert_eq!(hear(), "READY=1");
    kill(Pid::from_raw(served.id().try_into().unwrap()), Signal::SIGTERM).unwrap();
    assert_eq!(hear(), "STOPPING=1");
    assert!(served.wait().unwrap().success());
}
