//! An office that listens on this machine, and what is said to it byte by byte.

#![allow(dead_code, reason = "each test file uses its own part")]

use std::{
    collections::BTreeMap,
    io::{Read as _, Write as _},
    net::{SocketAddr, TcpStream},
    sync::Arc,
    time::Duration,
};

use axum::Router;
use chrono::{DateTime, Utc};
use server::{
    Devices as _, FirmId, FolderBlobs, FolderShelf, Limits, Office, OfficeWorld, SqliteRows, digest_token, routes,
    serve,
};
use tokio::{net::TcpListener, sync::oneshot, task::JoinHandle};

/// Tokens of the devices that are let in, which are their names.
pub const DEVICES: [&str; 2] = ["device-ines", "device-tomas"];
pub const HEALTH: &[u8] = b"GET /health HTTP/1.1\r\nhost: x\r\nconnection: close\r\n\r\n";

pub struct World;

impl OfficeWorld for World {
    fn now(&self) -> DateTime<Utc> {
        "2026-11-24T10:00:00Z".parse().unwrap()
    }

    fn fill_random(&self, bytes: &mut [u8]) -> std::io::Result<()> {
        bytes.fill(7);
        Ok(())
    }
}

pub struct Counter {
    pub address: SocketAddr,
    _folder: tempfile::TempDir,
    close: oneshot::Sender<()>,
    served: JoinHandle<()>,
}

/// The routes of an office with two devices, and its folder.
pub fn furnish(answer: Duration) -> (tempfile::TempDir, Router) {
    let folder = tempfile::tempdir().unwrap();
    let rows = Arc::new(SqliteRows::open(&folder.path().join("office.sqlite")).unwrap());
    let firm: FirmId = "firm".parse().unwrap();
    for (nth, device) in (1..).zip(DEVICES) {
        rows.open_code(&firm, &[nth; 32], ("a phone", seal::certificate::Role::Inspector), DateTime::<Utc>::MAX_UTC, 5)
            .unwrap();
        assert!(rows.let_in(&firm, &[nth; 32], device, &digest_token(device), World.now()).unwrap());
    }
    let office = Office {
        rows: Arc::clone(&rows) as _,
        shelf: Arc::new(FolderShelf::open(&folder.path().join("public")).unwrap()),
        blobs: Arc::new(FolderBlobs::open(&folder.path().join("blobs")).unwrap()),
        logs: BTreeMap::new(),
        pages: None,
        stamps: false,
        world: Arc::new(World),
        tell: Box::new(|_| {}),
    };
    (folder, routes(Arc::new(office), answer))
}

pub async fn open(limits: Limits) -> Counter {
    let (folder, routes) = furnish(limits.answer);
    let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
    let address = listener.local_addr().unwrap();
    let (close, closed) = oneshot::channel();
    let served = tokio::spawn(serve(listener, routes, limits, async {
        let _ = closed.await;
    }));
    Counter { address, _folder: folder, close, served }
}

impl Counter {
    pub async fn close(self) {
        self.close.send(()).unwrap();
        self.served.await.unwrap();
    }

    /// What comes back to these bytes until the office closes the connection.
    pub async fn say(&self, text: impl Into<Vec<u8>>) -> String {
        let (address, text) = (self.address, text.into());
        tokio::task::spawn_blocking(move || say(&mut TcpStream::connect(address).unwrap(), &text)).await.unwrap()
    }
}

/// An office that hangs up resets the connection: what came before counts.
pub fn say(stream: &mut TcpStream, text: &[u8]) -> String {
    let _ = stream.write_all(text);
    let mut answer = Vec::new();
    let _ = stream.read_to_end(&mut answer);
    String::from_utf8_lossy(&answer).into_owned()
}

/// A request that asks for the end of the connection, with these further header lines.
pub fn request(method: &str, path: &str, more: &str, body: &str) -> String {
    format!("{method} {path} HTTP/1.1\r\nhost: x\r\nconnection: close\r\n{more}\r\n{body}")
}

/// The header line of a device's token.
pub fn by(device: &str) -> String {
    format!("authorization: Bearer {device}\r\n")
}
