//! An office of two firms with a clock that stands, and whoever speaks to it.
#![allow(
    dead_code,
    unused_imports,
    clippy::unwrap_used,
    reason = "each file of tests uses its part; a test may stop where its own ground is missing"
)]

mod people;

use std::{
    collections::BTreeMap,
    sync::{Arc, Mutex},
    time::Duration,
};

use axum::{
    Router,
    body::{Body, to_bytes},
    http::{Request, StatusCode, header},
};
use chrono::{DateTime, TimeDelta, Utc};
use seal::{certificate::Role, digest::Sha256Digest, key::PrivateKey};
use serde_json::{Value, json};
use server::{
    FirmId, FolderBlobs, FolderShelf, LogKeeper, Office, OfficeWorld, Shelf as _, SqliteRows, make_code, papers::ROOT,
    routes,
};
use tower::ServiceExt as _;

pub use people::{People, carry, identity, signature_value, to_enter};

pub const FIRMS: [&str; 2] = ["harbour-vale", "north-bay"];
pub const WITHIN: Duration = Duration::from_secs(5);

pub struct World {
    pub now: Mutex<DateTime<Utc>>,
    pub drawn: Mutex<u64>,
}

impl OfficeWorld for World {
    fn now(&self) -> DateTime<Utc> {
        *self.now.lock().unwrap()
    }

    fn fill_random(&self, bytes: &mut [u8]) -> std::io::Result<()> {
        let mut drawn = self.drawn.lock().unwrap();
        *drawn += 1;
        let digest = Sha256Digest::of(&drawn.to_be_bytes());
        bytes.copy_from_slice(&digest.as_bytes()[..bytes.len()]);
        Ok(())
    }
}

pub struct Desk {
    pub folder: tempfile::TempDir,
    pub rows: Arc<SqliteRows>,
    pub world: Arc<World>,
    pub told: Arc<Mutex<Vec<String>>>,
    pub routes: Router,
}

pub fn firm(name: &str) -> FirmId {
    name.parse().unwrap()
}

pub fn key(name: &str) -> PrivateKey {
    PrivateKey::from_seed(Sha256Digest::of(name.as_bytes()).as_bytes())
}

pub fn log_name(name: &str) -> String {
    format!("log.example/{name}")
}

pub fn set_up() -> Desk {
    let folder = tempfile::tempdir().unwrap();
    let rows = Arc::new(SqliteRows::open(&folder.path().join("office.sqlite")).unwrap());
    let shelf = Arc::new(FolderShelf::open(&folder.path().join("public")).unwrap());
    for name in FIRMS {
        shelf.put(&firm(name), ROOT, People::of(name).root.to_pem().as_bytes()).unwrap();
    }
    let logs: BTreeMap<FirmId, Mutex<LogKeeper>> = FIRMS
        .iter()
        .map(|name| {
            let keeper = LogKeeper::open(
                Arc::clone(&rows) as _,
                Arc::clone(&shelf) as _,
                firm(name),
                &log_name(name),
                key(name),
            );
            (firm(name), Mutex::new(keeper.unwrap()))
        })
        .collect();
    let now = "2026-11-24T10:00:00Z".parse().unwrap();
    let world = Arc::new(World { now: Mutex::new(now), drawn: Mutex::new(0) });
    let told = Arc::new(Mutex::new(Vec::new()));
    let tell = {
        let told = Arc::clone(&told);
        Box::new(move |line: &str| told.lock().unwrap().push(line.to_owned()))
    };
    let blobs = Arc::new(FolderBlobs::open(&folder.path().join("blobs")).unwrap());
    let office = Office {
        rows: Arc::clone(&rows) as _,
        shelf,
        blobs,
        pages: None,
        stamps: false,
        logs,
        world: Arc::clone(&world) as _,
        tell,
    };
    Desk { folder, rows, world, told, routes: routes(Arc::new(office), WITHIN) }
}

pub struct Answer {
    pub status: StatusCode,
    pub headers: axum::http::HeaderMap,
    pub bytes: Vec<u8>,
}

impl Answer {
    pub fn json(&self) -> Value {
        serde_json::from_slice(&self.bytes).unwrap()
    }

    pub fn code(&self) -> Value {
        self.json()["fault"]["code"].clone()
    }
}

impl Desk {
    pub async fn ask(&self, method: &str, path: &str, token: Option<&str>, body: &str) -> Answer {
        self.ask_with(method, path, token, &[], body).await
    }

    pub async fn ask_with(
        &self,
        method: &str,
        path: &str,
        token: Option<&str>,
        headers: &[(&str, &str)],
        body: &str,
    ) -> Answer {
        let mut request = Request::builder().method(method).uri(path);
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        if let Some(token) = token {
            request = request.header(header::AUTHORIZATION, format!("Bearer {token}"));
        }
        let response = self.routes.clone().oneshot(request.body(Body::from(body.to_owned())).unwrap()).await.unwrap();
        let (head, body) = response.into_parts();
        Answer { status: head.status, headers: head.headers, bytes: to_bytes(body, 1 << 20).await.unwrap().to_vec() }
    }

    pub fn code(&self, of: &str) -> String {
        make_code(self.rows.as_ref(), self.world.as_ref(), &firm(of), ("Ines's phone", Role::Inspector)).unwrap()
    }

    pub async fn enrol(&self, of: &str, code: &str, device: &str) -> Answer {
        self.ask("POST", "/v1/enrol", None, &json!({"firm": of, "code": code, "device": device}).to_string()).await
    }

    pub async fn let_in(&self, of: &str, device: &str) -> String {
        let answer = self.enrol(of, &self.code(of), device).await;
        assert_eq!(answer.status, StatusCode::OK);
        answer.json()["token"].as_str().unwrap().to_owned()
    }

    /// A report that the first firm's inspector signed, entered by whoever has that token.
    pub async fn enter(&self, token: &str, report: &str) -> Answer {
        self.ask("POST", "/v1/receipts", Some(token), &to_enter(FIRMS[0], report)).await
    }

    pub fn now(&self) -> DateTime<Utc> {
        *self.world.now.lock().unwrap()
    }

    pub fn later(&self, minutes: i64) {
        *self.world.now.lock().unwrap() += TimeDelta::minutes(minutes);
    }
}
