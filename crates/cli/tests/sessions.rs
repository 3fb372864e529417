//! Golden sessions: what is typed, what is answered, the exit code.
//!
//! A session is a text: each line that begins with `$` is run, and what follows it is what must be answered: standard
//! output as it is, standard error after `! `, the exit code after `= `. Digests, times, sizes and random names are
//! written as words, since they differ each time. With `RIMSIDE_GOLDEN=write` in the environment the sessions are
//! written anew; look at them before you commit them.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests, with helpers outside of the test functions")]

mod desk;

use std::{fmt::Write as _, fs, path::PathBuf};

use desk::Desk;

#[test]
fn from_founding_to_a_refusal() {
    replay("main_job");
}

#[test]
fn taking_a_report_back() {
    replay("withdraw");
}

#[test]
fn faults_say_what_to_do() {
    replay("faults");
}

fn replay(name: &str) {
    let file = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(format!("tests/sessions/{name}.txt"));
    let session = fs::read_to_string(&file).unwrap();
    let desk = Desk::lay_out();
    let mut played = String::new();
    for line in session.lines() {
        if line.starts_with('#') || line.is_empty() && played.is_empty() {
            let _ = writeln!(played, "{line}");
        } else if let Some(command) = line.strip_prefix("$ ") {
            let _ = write!(played, "$ {command}\n{}\n", play(&desk, command));
        }
    }
    if std::env::var("RIMSIDE_GOLDEN").is_ok_and(|mode| mode == "write") {
        fs::write(&file, played).unwrap();
        return;
    }
    for (number, (played, expected)) in played.lines().zip(session.lines()).enumerate() {
        assert_eq!(played, expected, "{name}.txt, line {}", number + 1);
    }
    assert_eq!(played.lines().count(), session.lines().count());
}

/// Runs one line: `rimside …`, or one of three small helpers.
fn play(desk: &Desk, line: &str) -> String {
    let words = split(line);
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    match words[..] {
        ["rimside", ref arguments @ ..] => {
            let output = desk.run(arguments);
            let mut said = String::from_utf8(output.stdout).unwrap();
            for line in String::from_utf8(output.stderr).unwrap().lines() {
                let _ = writeln!(said, "{}", format!("! {line}").trim_end());
            }
            let _ = writeln!(said, "= {}", output.status.code().unwrap());
            mask(&said.replace(&desk.at("").display().to_string(), "FOLDER/"))
        }
        // One bit inside the first photograph of a report: always the same kind of place, however long the file is.
        ["flip", from, to] => {
            let mut bytes = fs::read(desk.at(from)).unwrap();
            let picture = bytes.windows(3).position(|window| window == [0xff, 0xd8, 0xff]).unwrap();
            bytes[picture + 200] ^= 1;
            fs::write(desk.at(to), bytes).unwrap();
            String::new()
        }
        // Bytes after the end.
        ["append", from, to] => {
            fs::write(desk.at(to), [fs::read(desk.at(from)).unwrap(), b"\n%%EOF\n".to_vec()].concat()).unwrap();
            String::new()
        }
        ["list", folder] => format!("{}\n", desk.list(folder).join("  ")),
        _ => panic!("{line:?} is no line of a session"),
    }
}

/// At blanks, not inside double quotes.
fn split(line: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut is_quoted = false;
    for character in line.chars() {
        match character {
            '"' => is_quoted = !is_quoted,
            ' ' if !is_quoted => words.push(String::new()),
            other => words.last_mut().unwrap().push(other),
        }
    }
    words
}

/// Writes what differs each time as words.
fn mask(text: &str) -> String {
    let mut masked = String::new();
    let mut rest = text;
    while let Some(first) = rest.chars().next() {
        let last = masked.chars().last().unwrap_or(' ');
        let found = if last.is_alphanumeric() { None } else { find_varying(rest) };
        let (length, word) = found.unwrap_or((first.len_utf8(), &rest[..first.len_utf8()]));
        masked.push_str(word);
        rest = &rest[length..];
    }
    masked
}

/// Something at the very beginning that differs each time: how long it is, and a word for it.
fn find_varying(text: &str) -> Option<(usize, &'static str)> {
    let run = |fits: fn(u8) -> bool, from: usize| text.bytes().skip(from).take_while(|byte| fits(*byte)).count();
    let hex = |byte: u8| matches!(byte, b'0'..=b'9' | b'a'..=b'f');
    if text.starts_with("device-") && run(hex, 7) == 16 {
        return Some((23, "DEVICE"));
    }
    if run(hex, 0) == 64 {
        return Some((64, "DIGEST"));
    }
    let groups = text.split([' ', '.', '\n']).take_while(|group| group.len() == 4 && group.bytes().all(hex)).count();
    if groups == 16 {
        return Some((79, "FINGERPRINT"));
    }
    if groups == 5 {
        return Some((24, "SHORT-DIGEST"));
    }
    if is_shaped(text, "dddd-dd-dd dd:dd UTC") {
        return Some((20, "TIME"));
    }
    if is_shaped(text, "dddd-dd-dd") {
        return Some((10, "DAY"));
    }
    let digits = run(|byte| byte.is_ascii_digit(), 0);
    let counted = |what: &str| digits > 0 && text[digits..].starts_with(what);
    [" bytes", " pages", ", is damaged"].iter().any(|what| counted(what)).then_some((digits, "N"))
}

/// `d` stands for a digit.
fn is_shaped(text: &str, shape: &str) -> bool {
    text.len() >= shape.len()
        && text.bytes().zip(shape.bytes()).all(
            |(byte, wanted)| {
                if wanted == b'd' { byte.is_ascii_digit() } else { byte == wanted }
            },
        )
}

#[test]
fn only_what_varies_is_masked() {
    let digest = "ab".repeat(32);
    let text = format!("on 2026-11-24 14:02 UTC, {digest} of 1367398 bytes; 4 discs, device-0123456789abcdef.\n");
    assert_eq!(mask(&text), "on TIME, DIGEST of N bytes; 4 discs, DEVICE.\n");
    let fingerprint = vec!["01ef"; 16].join(" ");
    assert_eq!(mask(&format!("is {fingerprint}.")), "is FINGERPRINT.");
    assert_eq!(mask("8a36 494b b9d1 87a2 d3de (as"), "SHORT-DIGEST (as");
    assert_eq!(mask("a valid firm of 2026"), "a valid firm of 2026");
}
