//! `rimside serve` as a process, and what is asked of it over plain connections.
#![allow(dead_code, reason = "each test file uses its own part")]

use std::{
    io::{BufRead as _, BufReader, Read as _, Write as _},
    net::TcpStream,
    path::PathBuf,
    process::{Child, Stdio},
    thread,
};

use serde_json::{Value, json};
use server::sync::content_digest;

use crate::desk::Desk;

/// The office's program, and what its first line says.
pub struct Served {
    pub child: Child,
    pub told: Value,
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Serves the desk's log at a free address, with these settings besides.
pub fn serve(desk: &Desk, settings: &[&str]) -> Served {
    let mut command = desk.command(&["serve", "log", "--listen", "127.0.0.1:0", "--passphrase-file", "passphrase"]);
    command.args(settings.iter().flat_map(|setting| ["--set", setting]));
    let mut child = command.stdout(Stdio::null()).stderr(Stdio::piped()).spawn().unwrap();
    let mut lines = BufReader::new(child.stderr.take().unwrap());
    let mut line = String::new();
    lines.read_line(&mut line).unwrap();
    thread::spawn(move || std::io::copy(&mut lines, &mut std::io::sink()));
    let told = serde_json::from_str(&line).unwrap_or_else(|error| panic!("{error}: {line}"));
    Served { child, told }
}

/// Status and body of the answer.
pub fn ask(address: &str, token: &str, method: &str, path: &str, body: &[u8]) -> (u16, Vec<u8>) {
    let head = format!(
        "{method} {path} HTTP/1.1\r\nhost: x\r\nconnection: close\r\nauthorization: Bearer {token}\r\n\
         content-digest: {}\r\ncontent-length: {}\r\n\r\n",
        content_digest(body),
        body.len()
    );
    let mut stream = TcpStream::connect(address).unwrap();
    stream.write_all(&[head.as_bytes(), body].concat()).unwrap();
    let mut answer = Vec::new();
    stream.read_to_end(&mut answer).unwrap();
    let end = answer.windows(4).position(|four| four == b"\r\n\r\n").unwrap();
    let body = answer.split_off(end + 4);
    (String::from_utf8_lossy(&answer)[9..12].parse().unwrap(), body)
}

impl Served {
    pub fn address(&self) -> &str {
        self.told["served"].as_str().unwrap()
    }

    pub fn ask(&self, token: &str, method: &str, path: &str, body: &[u8]) -> (u16, Vec<u8>) {
        ask(self.address(), token, method, path, body)
    }

    /// Lets a device in; its token.
    pub fn enrol(&self, desk: &Desk, device: &str, role: &str) -> String {
        let code = desk.expect(0, &["office", "code", "log", "--label", "a phone", "--role", role, "--json"]);
        let code: Value = serde_json::from_str(&code).unwrap();
        let body = json!({"code": code["code"], "device": device}).to_string();
        let (status, answer) = self.ask("none", "POST", "/v1/enrol", body.as_bytes());
        assert_eq!(status, 200, "{}", String::from_utf8_lossy(&answer));
        let answer: Value = serde_json::from_slice(&answer).unwrap();
        answer["token"].as_str().unwrap().to_owned()
    }
}

/// A file of the checkout.
pub fn checkout(path: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../..").join(path)
}

/// A program that `cargo xtask setup` installs.
pub fn tool(name: &str) -> PathBuf {
    let path = checkout(".tools").join(name);
    assert!(path.exists(), "{name} is not installed; run `cargo xtask setup`");
    path
}
