//! An office with its real routes, stores and log, a firm whose keys lie elsewhere, and phones that speak to it.

use std::{
    collections::BTreeMap,
    io,
    path::PathBuf,
    sync::{Arc, Mutex},
    time::Duration,
};

use api::{
    CertificateAsked, CertifyRequest, NativeWorld, PersonId, certify_asked, certify_person,
    door::{Door, InMemory, Reply, Source},
    fingerprint_words, found_firm, quietly,
};
use axum::{
    Router,
    body::{Body, to_bytes},
    http::Request,
};
use chrono::{DateTime, Utc};
use demo::scenario::{inspect, visits};
use seal::{certificate::Role, key::PrivateKey, key_file::Passphrase, receipt::LogKey};
use serde_json::{Value, json};
use server::{
    Certificates as _, FirmId, FolderBlobs, FolderShelf, LogKeeper, Office, OfficeWorld, Shelf as _, SqliteRows,
    make_code,
    papers::{LOG_KEY, show_papers},
    routes,
};
use tower::ServiceExt as _;

pub const PASSPHRASE: &str = "four quiet walking steps";
const LOG: &str = "log.harbour-vale.example";

/// The machine's clock and randomness: certificates are made and judged by it.
#[derive(Clone, Copy)]
pub struct Here;

impl Source for Here {
    fn now(&self) -> DateTime<Utc> {
        api::World::now(&NativeWorld)
    }

    fn fill_random(&self, bytes: &mut [u8]) -> io::Result<()> {
        api::World::fill_random(&NativeWorld, bytes)
    }
}

impl OfficeWorld for Here {
    fn now(&self) -> DateTime<Utc> {
        Source::now(self)
    }

    fn fill_random(&self, bytes: &mut [u8]) -> io::Result<()> {
        Source::fill_random(self, bytes)
    }
}

pub struct Desk {
    folder: tempfile::TempDir,
    pub rows: Arc<SqliteRows>,
    pub shelf: Arc<FolderShelf>,
    pub log: LogKey,
    pub office: Arc<Office>,
    routes: Router,
    runtime: tokio::runtime::Runtime,
}

fn passphrase() -> Passphrase {
    Passphrase::from(PASSPHRASE.to_owned())
}

pub fn firm() -> FirmId {
    "firm".parse().unwrap()
}

impl Desk {
    /// An office that shows the firm's papers.
    pub fn open() -> Self {
        let desk = Self::open_without_papers();
        desk.show_papers();
        desk
    }

    /// An office that was not told its firm's root yet.
    pub fn open_without_papers() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        found_firm(&NativeWorld, &at("keys"), "Harbour & Vale Inspections", &passphrase()).unwrap();
        let rows = Arc::new(SqliteRows::open(&at("office.sqlite")).unwrap());
        let shelf = Arc::new(FolderShelf::open(&at("public")).unwrap());
        let key = PrivateKey::from_seed(&[7; 32]);
        let log = LogKey::new(LOG, key.public()).unwrap();
        shelf.put(&firm(), LOG_KEY, format!("{}\n", log.to_text()).as_bytes()).unwrap();
        let keeper = LogKeeper::open(Arc::clone(&rows) as _, Arc::clone(&shelf) as _, firm(), LOG, key).unwrap();
        let office = Office {
            rows: Arc::clone(&rows) as _,
            shelf: Arc::clone(&shelf) as _,
            blobs: Arc::new(FolderBlobs::open(&at("blobs")).unwrap()),
            logs: BTreeMap::from([(firm(), Mutex::new(keeper))]),
            pages: None,
            stamps: true,
            world: Arc::new(Here),
            tell: Box::new(|_| {}),
        };
        let office = Arc::new(office);
        let routes = routes(Arc::clone(&office), Duration::from_secs(30));
        let runtime = tokio::runtime::Builder::new_current_thread().enable_time().build().unwrap();
        Self { folder, rows, shelf, log, office, routes, runtime }
    }

    pub fn keys(&self) -> PathBuf {
        self.folder.path().join("keys")
    }

    pub fn root_pem(&self) -> String {
        std::fs::read_to_string(self.keys().join("root.pem")).unwrap()
    }

    pub fn show_papers(&self) {
        let read = |paper: &str| std::fs::read_to_string(self.keys().join(paper)).unwrap();
        let papers = [read("root.pem"), read("issuer.pem"), read("crl.pem")];
        show_papers(self.shelf.as_ref(), &firm(), [&papers[0], &papers[1], &papers[2]]).unwrap();
    }

    /// One request as it stands; its status and body.
    pub fn send(&self, method: &str, path: &str, headers: &Value, body: Vec<u8>) -> (u16, Vec<u8>) {
        let mut request = Request::builder().method(method).uri(format!("/{path}"));
        for header in headers.as_array().into_iter().flatten() {
            request = request.header(header["name"].as_str().unwrap(), header["value"].as_str().unwrap());
        }
        let routes = self.routes.clone();
        self.runtime.block_on(async {
            let response = routes.oneshot(request.body(Body::from(body)).unwrap()).await.unwrap();
            let status = response.status().as_u16();
            (status, to_bytes(response.into_body(), 64 << 20).await.unwrap().to_vec())
        })
    }

    /// As somebody without a token.
    pub fn get(&self, path: &str) -> (u16, Vec<u8>) {
        self.send("GET", path, &Value::Null, Vec::new())
    }

    /// The issuer certifies what the device asked for, once the words were compared.
    pub fn certify(&self, device: &str, id: &str, words: &str) {
        let row = self.rows.certificate(&firm(), device).unwrap().unwrap();
        let asked = CertificateAsked::parse_pem(&row.request).unwrap();
        assert_eq!(fingerprint_words(&asked.key().fingerprint()), words, "both screens show the same");
        let id: PersonId = id.parse().unwrap();
        let (_, chain) = certify_asked(&NativeWorld, &self.keys(), &asked, &id, &passphrase()).unwrap();
        assert!(self.rows.give_certificate(&firm(), (device, &row.request), &chain, Source::now(&Here)).unwrap());
    }

    /// Somebody who is certified with a key beside the firm's, as at a desk.
    pub fn certify_at_desk(&self, id: &str, role: Role) {
        let request = CertifyRequest {
            firm: &self.keys(),
            id: &id.parse().unwrap(),
            name: "Tomas Reyl",
            role,
            firm_passphrase: &passphrase(),
            person_passphrase: &passphrase(),
        };
        certify_person(&NativeWorld, &request).unwrap();
    }
}

/// A phone with its notebook.
pub struct Phone<'a> {
    desk: &'a Desk,
    door: Door,
}

impl<'a> Phone<'a> {
    /// A phone that the office has let in.
    pub fn let_in(desk: &'a Desk, label: &str, role: Role) -> Self {
        let phone = Self { desk, door: Door::open(Box::new(InMemory), Box::new(Here)).unwrap() };
        phone.join(label, role);
        phone
    }

    /// Is let in, for the first time or again.
    pub fn join(&self, label: &str, role: Role) {
        let code = make_code(self.desk.rows.as_ref(), &Here, &firm(), (label, role)).unwrap();
        let asked = self.call(&json!({"op": "ask_to_join", "code": code}), &[]);
        let (status, answer) = self.carry_out(&asked);
        let view = self.call(&json!({"op": "join", "status": status}), &answer).answer;
        assert_eq!(view["role"], role.name());
    }

    pub fn try_call(&self, request: &Value, bytes: &[u8]) -> Result<Reply, api::Fault> {
        self.door.call(&request.to_string(), bytes, &quietly)
    }

    pub fn call(&self, request: &Value, bytes: &[u8]) -> Reply {
        self.try_call(request, bytes).unwrap()
    }

    pub fn ask(&self, request: &Value) -> Value {
        self.call(request, &[]).answer
    }

    pub fn name(&self) -> String {
        self.ask(&json!({"op": "notebook"}))["device"].as_str().unwrap().to_owned()
    }

    fn carry_out(&self, asked: &Reply) -> (u16, Vec<u8>) {
        let next = &asked.answer;
        assert_eq!(next["step"], "ask", "{next}");
        let (method, path) = (next["method"].as_str().unwrap(), next["path"].as_str().unwrap());
        self.desk.send(method, path, &next["headers"], asked.bytes.clone().unwrap_or_default())
    }

    /// Asks the office for something by hand.
    pub fn errand(&self, errand: &Value) -> Result<Value, api::Fault> {
        let asked = self.call(&json!({"op": "office_ask", "errand": errand}), &[]);
        let (status, answer) = self.carry_out(&asked);
        let answered = json!({"op": "office_answered", "errand": errand, "status": status});
        self.try_call(&answered, &answer).map(|reply| reply.answer)
    }

    /// Tells and hears all that there is, over a good link; the paths that were asked.
    pub fn sync(&self) -> Vec<String> {
        let mut paths = Vec::new();
        loop {
            let asked = self.call(&json!({"op": "office_next", "begin": paths.is_empty()}), &[]);
            if asked.answer["step"] == "done" {
                return paths;
            }
            paths.push(asked.answer["path"].as_str().unwrap_or_else(|| panic!("{}", asked.answer)).to_owned());
            let (status, answer) = self.carry_out(&asked);
            self.call(&json!({"op": "office_heard", "status": status}), &answer);
            assert!(paths.len() < 200, "it does not come to an end: {paths:?}");
        }
    }

    /// Makes a key, has it certified by the office, and takes the certificate in.
    pub fn be_certified(&self, name: &str, role: Role, id: &str) {
        let asked = self
            .call(&json!({"op": "ask_certificate", "name": name, "role": role.name(), "passphrase": PASSPHRASE}), &[]);
        assert_eq!(self.carry_out(&asked).0, 204);
        let words = self.ask(&json!({"op": "office"}))["asked"]["words"].as_str().unwrap().to_owned();
        assert_eq!(self.errand(&json!({"errand": "fetch_certificate"})).unwrap()["is_new"], false, "not given yet");
        self.desk.certify(&self.name(), id, &words);
        assert_eq!(self.errand(&json!({"errand": "fetch_certificate"})).unwrap()["is_new"], true);
        assert_eq!(self.ask(&json!({"op": "office"}))["asked"], Value::Null);
    }

    /// A visit of the scenario, sealed; the report as the list has it.
    pub fn inspect_and_seal(&self, number: usize) -> Value {
        let (inspection, photographs) = inspect(&visits()[number], (320, 240)).unwrap();
        let document = serde_json::to_value(&inspection).unwrap();
        let begin =
            json!({"op": "begin", "vin": document["car"]["vin"], "registration": null, "at": document["visited_at"]});
        let id = self.ask(&begin)["id"].as_str().unwrap().to_owned();
        for (path, value) in notebook::unfold(&document) {
            if !path.starts_with("photographs.")
                && !path.starts_with("car.prior_visits.")
                && !path.contains(".defects.")
            {
                self.ask(&json!({"op": "write", "inspection": id, "path": path, "value": value}));
            }
        }
        for photograph in photographs.iter().take(2) {
            let request = json!({"op": "photograph", "inspection": id, "subject": photograph.plan.subject,
                "taken": "in_app", "taken_at": null});
            self.call(&request, &photograph.bytes);
        }
        self.ask(&json!({"op": "seal", "inspection": id, "passphrase": PASSPHRASE}))
    }

    pub fn report(&self, identity: &str) -> Value {
        let list = self.ask(&json!({"op": "reports"}));
        let found = list["reports"].as_array().unwrap().iter().find(|report| report["identity"] == identity);
        found.cloned().unwrap_or(Value::Null)
    }

    pub fn report_bytes(&self, identity: &str) -> Vec<u8> {
        self.call(&json!({"op": "report", "identity": identity}), &[]).bytes.unwrap()
    }
}
