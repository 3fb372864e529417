//! Whom an office asks over HTTPS: a witness and an authority for timestamps, each with a certificate that an authority issued
//! for the test, and with another one's.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop where its own ground is missing")]

use std::{io, net::SocketAddr, sync::Arc, time::Duration};

use axum::{
    Router,
    body::Bytes,
    http::{HeaderMap, StatusCode, header},
    response::{IntoResponse as _, Redirect, Response},
    routing::post,
};
use chrono::{DateTime, Utc};
use log::{EntryKind, LogKey, Receipt, WitnessKey};
use rcgen::{BasicConstraints, CertificateParams, IsCa, Issuer, KeyPair};
use seal::{
    digest::{ReportIdentity, Sha256Digest},
    key::PrivateKey,
};
use server::{
    AskAuthority as _, AskWitness as _, AskedWitness, AuthorityError, FirmId, FolderShelf, HttpAuthority, HttpWitness,
    Limits, LogKeeper, OfficeWorld, Shelf as _, SqliteRows, Tls, TlsFiles, Witness, serve_tls, witness_routes,
};
use tokio::{net::TcpListener, runtime::Runtime};

const LOG: &str = "log.example/harbour-vale";
const LIMIT: Duration = Duration::from_secs(20);

struct World;

impl OfficeWorld for World {
    fn now(&self) -> DateTime<Utc> {
        "2026-11-24T10:30:00Z".parse().unwrap()
    }

    fn fill_random(&self, bytes: &mut [u8]) -> io::Result<()> {
        bytes.fill(9);
        Ok(())
    }
}

/// Serves these routes over TLS on this machine; where, and the authority that issued the certificate.
fn serve(runtime: &Runtime, routes: Router) -> (SocketAddr, String, tempfile::TempDir) {
    let folder = tempfile::tempdir().unwrap();
    let (ca_key, key) = (KeyPair::generate().unwrap(), KeyPair::generate().unwrap());
    let mut ca = CertificateParams::default();
    ca.is_ca = IsCa::Ca(BasicConstraints::Unconstrained);
    let ca_pem = ca.self_signed(&ca_key).unwrap().pem();
    let mut own = CertificateParams::new(vec!["localhost".to_owned()]).unwrap();
    own.distinguished_name.push(rcgen::DnType::CommonName, "localhost");
    let own = own.signed_by(&key, &Issuer::new(ca, ca_key)).unwrap().pem();
    let files = TlsFiles { certificate: folder.path().join("chain.pem"), key: folder.path().join("key.pem") };
    std::fs::write(&files.certificate, own + &ca_pem).unwrap();
    std::fs::write(&files.key, key.serialize_pem()).unwrap();
    let tls = Arc::new(Tls::open(files, Arc::new(World), Box::new(|_| {})).unwrap());
    let listener = runtime.block_on(TcpListener::bind("127.0.0.1:0")).unwrap();
    let address = listener.local_addr().unwrap();
    runtime.spawn(serve_tls(listener, routes, Limits::default(), tls, std::future::pending()));
    (address, ca_pem, folder)
}

fn private(seed: u8) -> PrivateKey {
    PrivateKey::from_seed(&[seed; 32])
}

#[test]
fn a_witness_is_asked_over_https_and_no_other_in_its_place() {
    let folder = tempfile::tempdir().unwrap();
    let (log_key, own) = (
        LogKey::new(LOG, private(3).public()).unwrap(),
        WitnessKey::new("witness.example/w5", private(5).public()).unwrap(),
    );
    let shelf = FolderShelf::open(&folder.path().join("w5")).unwrap();
    let place = Sha256Digest::of(LOG.as_bytes()).to_hex();
    shelf.put(&"logs".parse().unwrap(), &place, log_key.to_text().as_bytes()).unwrap();
    let witness = Witness::new(Arc::new(shelf), folder.path().join("w5.lock"), own.clone(), private(5));
    let runtime = Runtime::new().unwrap();
    let (address, ca, _kept) = serve(&runtime, witness_routes(witness, Arc::new(World), LIMIT));
    let (_, stranger, _kept_too) = serve(&runtime, Router::new());
    let url = format!("https://localhost:{}/", address.port());

    let keeper = |name: &str| {
        let at = folder.path().join(name);
        std::fs::create_dir(&at).unwrap();
        let rows = Arc::new(SqliteRows::open(&at.join("office.sqlite")).unwrap());
        let shelf = Arc::new(FolderShelf::open(&at.join("public")).unwrap());
        let firm: FirmId = "harbour-vale".parse().unwrap();
        LogKeeper::open(rows, shelf, firm, LOG, private(3)).unwrap()
    };
    let enter = |keeper: &mut LogKeeper| -> Receipt {
        let report = ReportIdentity(Sha256Digest::of(b"a report"));
        let kind = EntryKind::Issued { report, signature: Sha256Digest::of(b"a signature") };
        let entered = keeper.enter(&[kind], World.now()).unwrap();
        keeper.receipt(&entered[0]).unwrap()
    };
    // A certificate that another authority issued, or one for another name: nobody is asked.
    let by_number = format!("https://127.0.0.1:{}/", address.port());
    for (url, roots) in [(&url, &stranger), (&by_number, &ca)] {
        let way = HttpWitness::parse_trusting(url, LIMIT, roots).unwrap();
        let refused = way.add_checkpoint("anything").unwrap_err().to_string();
        assert!(refused.contains("certificate"), "{refused}");
    }
    let mut without = keeper("without");
    let way = HttpWitness::parse_trusting(&url, LIMIT, &stranger).unwrap();
    without.ask_witnesses(vec![AskedWitness::new(own.clone(), Arc::new(way))]);
    assert_eq!(enter(&mut without).checkpoint.cosigned_at(&own), Ok(None), "the receipt goes without");
    let mut with = keeper("with");
    let way = HttpWitness::parse_trusting(&url, LIMIT, &ca).unwrap();
    with.ask_witnesses(vec![AskedWitness::new(own.clone(), Arc::new(way))]);
    assert_eq!(enter(&mut with).checkpoint.cosigned_at(&own), Ok(Some(World.now().timestamp() as u64)));
}

#[test]
fn an_authority_is_asked_as_the_standard_says_and_only_its_own_kind_of_answer_is_taken() {
    async fn stamp(headers: HeaderMap, body: Bytes) -> Response {
        let kind = headers.get(header::CONTENT_TYPE).and_then(|kind| kind.to_str().ok());
        if kind != Some("application/timestamp-query") || body != b"a question"[..] {
            return StatusCode::BAD_REQUEST.into_response();
        }
        ([(header::CONTENT_TYPE, "application/timestamp-reply")], "an answer").into_response()
    }
    let page = || async { ([(header::CONTENT_TYPE, "text/html; charset=utf-8")], "a page") };
    let flood = || async { ([(header::CONTENT_TYPE, "application/timestamp-reply")], vec![b'x'; 1 << 20]) };
    let routes = Router::new()
        .route("/stamps", post(stamp))
        .route("/page", post(page))
        .route("/flood", post(flood))
        .route("/away", post(|| async { Redirect::temporary("/stamps") }))
        .route("/silent", post(|| async { std::future::pending::<StatusCode>().await }));
    let runtime = Runtime::new().unwrap();
    let (address, ca, _kept) = serve(&runtime, routes);
    let at = |path: &str| format!("https://localhost:{}/{path}", address.port());
    let ask = |path: &str| HttpAuthority::parse_trusting(&at(path), LIMIT, &ca).unwrap().ask(b"a question");
    assert_eq!(ask("stamps").unwrap(), b"an answer");
    assert!(matches!(ask("page"), Err(AuthorityError::Kind { got }) if got == "text/html"));
    assert!(matches!(ask("nowhere"), Err(AuthorityError::Status { got: 404 })));
    assert!(matches!(ask("away"), Err(AuthorityError::Status { got: 307 })), "nobody is sent on to somebody else");
    assert!(ask("flood").unwrap_err().to_string().contains("more than 65536 bytes"));
    let hasty = HttpAuthority::parse_trusting(&at("silent"), Duration::from_millis(50), &ca).unwrap();
    assert!(matches!(hasty.ask(b"a question"), Err(AuthorityError::Unreached(_))));
    let (_, stranger, _kept_too) = serve(&runtime, Router::new());
    let refused = HttpAuthority::parse_trusting(&at("stamps"), LIMIT, &stranger).unwrap().ask(b"a question");
    assert!(refused.unwrap_err().to_string().contains("certificate"));
}
