//! Sealed reports of one firm, made once: a history takes them as if it had sealed them.

use std::{io, sync::LazyLock};

use api::{
    NativeWorld,
    door::{Door, InMemory, Source},
    quietly,
};
use chrono::{DateTime, Utc};
use demo::scenario::{inspect, visits};
use model::Sha256;
use notebook::{FileAccess as _, Notebook, Report};
use seal::sealing::log_entry;
use serde_json::{Value, json};

/// So many; a history in which all were taken takes no more.
pub const COUNT: usize = 4;

pub struct Sealed {
    pub identity: Sha256,
    pub bytes: Vec<u8>,
}

/// The firm's root, and reports that are signed under it.
pub struct Pool {
    pub root: String,
    pub reports: Vec<Sealed>,
}

struct Here;

impl Source for Here {
    fn now(&self) -> DateTime<Utc> {
        api::World::now(&NativeWorld)
    }

    fn fill_random(&self, bytes: &mut [u8]) -> io::Result<()> {
        api::World::fill_random(&NativeWorld, bytes)
    }
}

pub static POOL: LazyLock<Pool> = LazyLock::new(|| {
    let door = Door::open(Box::new(InMemory), Box::new(Here)).unwrap();
    let call = |request: Value| door.call(&request.to_string(), &[], &quietly).unwrap();
    let passphrase = "four quiet walking steps";
    let made = call(json!({"op": "make_keys", "firm": "Harbour & Vale Inspections", "inspector": "Ines Okafor-Lind",
        "passphrase": passphrase}));
    let root = made.answer["keys"]["root_pem"].as_str().unwrap().to_owned();
    let (inspection, _) = inspect(&visits()[0], (64, 48)).unwrap();
    let document = serde_json::to_value(&inspection).unwrap();
    let reports = (0..COUNT).map(|_| {
        let begun = call(json!({"op": "begin", "vin": document["car"]["vin"], "registration": null,
            "at": document["visited_at"]}));
        let id = begun.answer["id"].clone();
        for (path, value) in notebook::unfold(&document) {
            if !["photographs.", "car.prior_visits."].iter().any(|start| path.starts_with(start))
                && !path.contains(".defects.")
            {
                call(json!({"op": "write", "inspection": id, "path": path, "value": value}));
            }
        }
        let sealed = call(json!({"op": "seal", "inspection": id, "passphrase": passphrase})).answer;
        let bytes = call(json!({"op": "report", "identity": sealed["identity"]})).bytes.unwrap();
        Sealed { identity: sealed["identity"].as_str().unwrap().parse().unwrap(), bytes }
    });
    let reports = reports.collect();
    Pool { root, reports }
});

/// A device has sealed it.
pub fn put(book: &Notebook, sealed: &Sealed) {
    let path = format!("reports/{}.pdf", sealed.identity);
    book.write_file(&path, &sealed.bytes).unwrap();
    book.note_report(&Report {
        identity: sealed.identity.to_string(),
        inspection: None,
        facts: "{}".to_owned(),
        sealed_at: "2026-11-24T10:00:00+00:00".to_owned(),
        path,
    })
    .unwrap();
}

/// Whether it is here, whole and with a receipt of its own.
pub fn has_receipted(book: &Notebook, sealed: &Sealed) -> bool {
    let identity = sealed.identity.to_string();
    let Ok(bytes) = book.report(&identity) else { return false };
    // The receipt went into the room: as long, and not the same.
    let entry = log_entry(&bytes, DateTime::UNIX_EPOCH).unwrap();
    assert_eq!(entry.report.0.to_hex(), identity, "another report came under this name");
    let standing = book.report_standing(&identity).unwrap().unwrap();
    standing.is_told && bytes.len() == sealed.bytes.len() && bytes != sealed.bytes
}
