//! The office as a real process that is killed and that runs out of disk while devices sync: nothing that it has acknowledged
//! is lost, and nothing is there that nobody wrote.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests, with helpers outside of the test functions")]

mod desk;

use std::{
    collections::BTreeMap,
    io::{BufRead as _, BufReader, Read as _, Write as _},
    net::TcpStream,
    process::{Child, Command, Stdio},
    sync::{
        Mutex,
        atomic::{AtomicU64, Ordering},
    },
};

use api::model::{Carried, Change, Entry, EntryId, Salt, Sha256};
use desk::Desk;
use serde_json::{Value, json};
use server::sync::{Answer, Ask, Finish, PIECE_BYTES, content_digest};

const DEVICES: usize = 3;
/// So often the office is killed.
const KILLS: u64 = 12;

/// The office's program, and where it is served.
struct Served {
    child: Child,
    address: String,
}

impl Served {
    /// As a machine loses its power; it may be gone already.
    fn kill(&mut self) {
        let _ = self.child.kill();
        self.child.wait().unwrap();
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        self.kill();
    }
}

fn set_up() -> Desk {
    let desk = Desk::lay_out();
    desk.expect(0, &["log", "found", "log", "--name", "log.example/firm", "--passphrase-file", "passphrase"]);
    desk
}

/// Serves it, under this limit of the shell's where there is one.
fn serve(desk: &Desk, limit: Option<u32>) -> Served {
    let program = env!("CARGO_BIN_EXE_rimside");
    let limit = limit.map_or_else(String::new, |blocks| format!("trap '' XFSZ; ulimit -f {blocks}; "));
    let mut child = Command::new("sh")
        .arg("-c")
        .arg(format!(
            "{limit}exec {program} serve log --listen 127.0.0.1:0 --passphrase-file passphrase \
             --set limits.enrol-per-minute=100 --set limits.address-per-minute=1000000"
        ))
        .current_dir(desk.at("."))
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut lines = BufReader::new(child.stderr.take().unwrap());
    let mut line = String::new();
    lines.read_line(&mut line).unwrap();
    let told: Value = serde_json::from_str(&line).unwrap_or_else(|error| panic!("{error}: {line}"));
    std::thread::spawn(move || std::io::copy(&mut lines, &mut std::io::sink()));
    Served { child, address: told["served"].as_str().unwrap().to_owned() }
}

/// What a device has written, and what the office has said of it.
struct Device {
    name: String,
    token: String,
    row: Vec<Carried>,
    blobs: BTreeMap<Sha256, Vec<u8>>,
    /// Entries that the office has said it has.
    held: u64,
    /// Photographs that it has said it has.
    whole: Vec<Sha256>,
}

/// Status and body; none where the office did not answer to the end.
fn ask(address: &str, token: &str, method: &str, path: &str, body: &[u8]) -> Option<(u16, Vec<u8>)> {
    let head = format!(
        "{method} {path} HTTP/1.1\r\nhost: x\r\nconnection: close\r\nauthorization: Bearer {token}\r\ncontent-digest: {}\r\ncontent-length: {}\r\n\r\n",
        content_digest(body),
        body.len()
    );
    let mut stream = TcpStream::connect(address).ok()?;
    stream.write_all(head.as_bytes()).ok()?;
    // An office that refuses does not read to the end.
    let _ = stream.write_all(body);
    let mut answer = Vec::new();
    stream.read_to_end(&mut answer).ok()?;
    let end = answer.windows(4).position(|four| four == b"\r\n\r\n")?;
    let head = String::from_utf8_lossy(&answer[..end]).to_ascii_lowercase();
    let length = head.split("content-length: ").nth(1).and_then(|rest| rest.split("\r\n").next()?.parse().ok());
    let body = answer.split_off(end + 4);
    (length.unwrap_or(0) == body.len()).then_some((head.get(9..12)?.parse().ok()?, body))
}

impl Device {
    fn enrol(desk: &Desk, served: &Served, name: String) -> Self {
        let code = desk.expect(0, &["office", "code", "log", "--label", &name, "--json"]);
        let code: Value = serde_json::from_str(&code).unwrap();
        let body = json!({"code": code["code"], "device": name}).to_string();
        let (status, answer) = ask(&served.address, "none", "POST", "/v1/enrol", body.as_bytes()).unwrap();
        assert_eq!(status, 200);
        let answer: Value = serde_json::from_slice(&answer).unwrap();
        let token = answer["token"].as_str().unwrap().to_owned();
        Self { name, token, row: Vec::new(), blobs: BTreeMap::new(), held: 0, whole: Vec::new() }
    }

    /// Writes a remark or, now and then, names a photograph.
    fn write(&mut self, draw: u64) {
        let seq = self.row.len() as u64 + 1;
        let (path, value) = if draw.is_multiple_of(4) {
            let length = PIECE_BYTES / 2 * (1 + draw / 4 % 4) + 7;
            let bytes: Vec<u8> = (0..length).map(|nth| (nth % 256 * (draw % 250 + 1) % 251) as u8).collect();
            let sha256 = Sha256::of(&bytes);
            self.blobs.insert(sha256, bytes);
            (format!("photographs.photo-{seq:04}"), json!({ "sha256": sha256 }))
        } else {
            ("car.description".to_owned(), json!(format!("as {} wrote it, {seq}", self.name)))
        };
        self.row.push(Carried::whole(Entry {
            id: EntryId { device: self.name.parse().unwrap(), seq },
            inspection: "inspection-1".parse().unwrap(),
            path,
            value,
            replaces: Vec::new(),
            change: Change::Written,
            written_at: "2026-11-24T10:00:00+01:00".parse().unwrap(),
            author: "Ines Okafor-Lind".to_owned().try_into().unwrap(),
            salt: Salt::new([draw as u8; 16]),
        }));
    }

    /// Tells what the office lacks. Whether all was answered well.
    fn sync(&mut self, address: &str) -> bool {
        let entries = self.row[self.held as usize..].to_vec();
        let told = Ask { own: self.row.len() as u64, entries, ..Ask::default() };
        let told = serde_json::to_vec(&told).unwrap();
        let Some((200, answer)) = ask(address, &self.token, "POST", "/v1/sync", &told) else { return false };
        let answer: Answer = serde_json::from_slice(&answer).unwrap();
        assert!(answer.held >= self.held, "{} entries were acknowledged, {} are left", self.held, answer.held);
        self.held = answer.held;
        answer.wants.iter().all(|wanted| {
            let bytes = &self.blobs[&wanted.sha256];
            let path = format!("/v1/blobs/{}", wanted.sha256);
            let pieces = (0..).zip(bytes.chunks(PIECE_BYTES as usize));
            let is_sent = pieces.filter(|(nth, _)| !wanted.pieces.contains(nth)).all(|(nth, piece)| {
                matches!(ask(address, &self.token, "PUT", &format!("{path}/{nth}"), piece), Some((204, _)))
            });
            let finish = serde_json::to_vec(&Finish { length: bytes.len() as u64 }).unwrap();
            let is_whole = is_sent && matches!(ask(address, &self.token, "POST", &path, &finish), Some((204, _)));
            if is_whole {
                self.whole.push(wanted.sha256);
            }
            is_whole
        })
    }

    fn read(&self, address: &str, sha256: &Sha256) -> Vec<u8> {
        let mut bytes = Vec::new();
        loop {
            let path = format!("/v1/blobs/{sha256}/{}", bytes.len() as u64 / PIECE_BYTES);
            let (status, piece) = ask(address, &self.token, "GET", &path, b"").unwrap();
            assert_eq!(status, 200, "{sha256} was acknowledged and is gone");
            bytes.extend(&piece);
            if (piece.len() as u64) < PIECE_BYTES {
                return bytes;
            }
        }
    }
}

/// What a stranger to all of it hears is what was written: all that was acknowledged, and nothing else.
fn hold_to_its_word(desk: &Desk, served: &Served, devices: &[Device]) {
    let mut reader = Device::enrol(desk, served, "device-reader".to_owned());
    let mut rows: BTreeMap<String, Vec<Sha256>> = BTreeMap::new();
    let mut seen = 0;
    loop {
        let told = serde_json::to_vec(&Ask { seen, own: 0, entries: Vec::new(), ..Ask::default() }).unwrap();
        let (status, answer) = ask(&served.address, &reader.token, "POST", "/v1/sync", &told).unwrap();
        assert_eq!(status, 200);
        let answer: Answer = serde_json::from_slice(&answer).unwrap();
        for entry in answer.entries {
            rows.entry(entry.id.device.to_string()).or_default().push(entry.body_digest);
        }
        seen = answer.seen;
        if !answer.more {
            break;
        }
    }
    for device in devices {
        let row = rows.remove(&device.name).unwrap_or_default();
        let written: Vec<Sha256> = device.row.iter().map(|entry| entry.body_digest).collect();
        assert!(row.len() as u64 >= device.held, "acknowledged and lost");
        assert!(written.starts_with(&row), "what the office has is not what {} wrote", device.name);
        reader.blobs.extend(device.blobs.clone());
        for sha256 in &device.whole {
            assert_eq!(reader.read(&served.address, sha256), device.blobs[sha256]);
        }
    }
    assert!(rows.is_empty(), "entries of nobody: {rows:?}");
}

/// Numbers that look drawn, the same each time.
fn draw(seed: u64) -> u64 {
    let digest = Sha256::of(&seed.to_be_bytes());
    u64::from_be_bytes(digest.as_bytes()[..8].try_into().unwrap())
}

#[test]
fn an_office_that_is_killed_again_and_again_loses_nothing_that_it_has_acknowledged() {
    let desk = set_up();
    let mut served = serve(&desk, None);
    let devices = (0..DEVICES).map(|nth| Mutex::new(Device::enrol(&desk, &served, format!("device-{nth}"))));
    let devices: Vec<Mutex<Device>> = devices.collect();
    for round in 0..KILLS {
        // Killed when it has answered so often: whatever it does for the others at that moment is cut off.
        let until = 2 + draw(round) % 12;
        let answered = AtomicU64::new(0);
        let child = Mutex::new(&mut served.child);
        let address = &served.address;
        std::thread::scope(|scope| {
            for (nth, device) in (0..).zip(&devices) {
                let (answered, child) = (&answered, &child);
                scope.spawn(move || {
                    let mut device = device.lock().unwrap();
                    for turn in 0..200 {
                        device.write(draw(round * 10_000 + nth * 1_000 + turn));
                        if !device.sync(address) {
                            return;
                        }
                        if answered.fetch_add(1, Ordering::SeqCst) + 1 == until {
                            child.lock().unwrap().kill().unwrap();
                        }
                    }
                    panic!("the office was not killed");
                });
            }
        });
        served.kill();
        served = serve(&desk, None);
    }
    let mut devices: Vec<Device> = devices.into_iter().map(|device| device.into_inner().unwrap()).collect();
    hold_to_its_word(&desk, &served, &devices);
    // And it goes on from there.
    for device in &mut devices {
        // A piece that was half written when the office fell over is asked for once more.
        assert!((0..3).any(|_| device.sync(&served.address)));
        assert_eq!(device.held as usize, device.row.len());
        assert!(device.blobs.keys().all(|sha256| device.read(&served.address, sha256) == device.blobs[sha256]));
    }
    served.kill();
}

#[test]
fn an_office_whose_disk_is_full_says_so_and_goes_on_when_there_is_room() {
    let desk = set_up();
    let mut served = serve(&desk, None);
    let mut device = Device::enrol(&desk, &served, "device-1".to_owned());
    device.write(1);
    assert!(device.sync(&served.address));
    served.kill();
    // No file grows beyond a megabyte, in blocks of 512 bytes.
    let mut served = serve(&desk, Some(2_048));
    let is_full = (0..3_000).any(|nth| {
        device.write(if nth == 40 { 12 } else { 4 * nth + 1 });
        !device.sync(&served.address)
    });
    assert!(is_full, "the disk was never full");
    let (status, fault) = {
        let told = Ask { own: device.row.len() as u64, entries: Vec::new(), ..Ask::default() };
        ask(&served.address, &device.token, "POST", "/v1/sync", &serde_json::to_vec(&told).unwrap()).unwrap()
    };
    assert!(status == 200 || String::from_utf8_lossy(&fault).contains("office-failed"), "{status}");
    assert_eq!(ask(&served.address, "none", "GET", "/health", b"").unwrap(), (200, b"ok\n".to_vec()));
    served.kill();
    let mut served = serve(&desk, None);
    hold_to_its_word(&desk, &served, std::slice::from_ref(&device));
    assert!(device.sync(&served.address));
    assert_eq!(device.held as usize, device.row.len());
    served.kill();
}
