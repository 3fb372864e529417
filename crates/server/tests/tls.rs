//! The office over TLS of its own: with a certificate that an authority issued for the test, and with those that will not do.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop where its own ground is missing")]

mod counter;

use std::{
    fs,
    io::{Read as _, Write as _},
    net::{SocketAddr, TcpStream},
    path::Path,
    sync::{Arc, Mutex},
    time::{Duration, SystemTime},
};

use counter::{HEALTH, World, furnish, say};
use rcgen::{BasicConstraints, CertificateParams, DistinguishedName, DnType, IsCa, Issuer, KeyPair};
use server::{Limits, Tls, TlsError, TlsFiles, serve_tls};
use tokio::{net::TcpListener, sync::oneshot, task::JoinHandle};
use tokio_rustls::rustls::{
    ClientConfig, ClientConnection, RootCertStore, StreamOwned,
    crypto::ring,
    pki_types::{CertificateDer, pem::PemObject as _},
};

/// An authority, whose word the test takes.
struct Authority {
    issuer: Issuer<'static, KeyPair>,
    pem: String,
}

fn name(common: &str) -> DistinguishedName {
    let mut name = DistinguishedName::new();
    name.push(DnType::CommonName, common);
    name
}

fn found(common: &str) -> Authority {
    let key = KeyPair::generate().unwrap();
    let mut params = CertificateParams::default();
    params.distinguished_name = name(common);
    params.is_ca = IsCa::Ca(BasicConstraints::Unconstrained);
    let pem = params.self_signed(&key).unwrap().pem();
    Authority { issuer: Issuer::new(params, key), pem }
}

fn office(common: &str) -> CertificateParams {
    let mut params = CertificateParams::new(vec!["office.example".to_owned()]).unwrap();
    params.distinguished_name = name(common);
    params
}

/// A certificate's chain and its key, as PEM.
fn issue(authority: &Authority, params: &CertificateParams) -> (String, String) {
    let key = KeyPair::generate().unwrap();
    let own = params.signed_by(&key, &authority.issuer).unwrap().pem();
    (own + &authority.pem, key.serialize_pem())
}

fn write(folder: &Path, (chain, key): &(String, String)) -> TlsFiles {
    let files = TlsFiles { certificate: folder.join("chain.pem"), key: folder.join("key.pem") };
    fs::write(&files.certificate, chain).unwrap();
    fs::write(&files.key, key).unwrap();
    files
}

struct Served {
    address: SocketAddr,
    told: Arc<Mutex<Vec<String>>>,
    _folder: tempfile::TempDir,
    close: oneshot::Sender<()>,
    task: JoinHandle<()>,
}

async fn serve(files: &TlsFiles, limits: Limits) -> Served {
    let (folder, routes) = furnish(limits.answer);
    let told = Arc::new(Mutex::new(Vec::new()));
    let tell = {
        let told = Arc::clone(&told);
        Box::new(move |line: &str| told.lock().unwrap().push(line.to_owned()))
    };
    let tls = Arc::new(Tls::open(files.clone(), Arc::new(World), tell).unwrap());
    let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
    let address = listener.local_addr().unwrap();
    let (close, closed) = oneshot::channel();
    let served = tokio::spawn(serve_tls(listener, routes, limits, tls, async {
        let _ = closed.await;
    }));
    Served { address, told, _folder: folder, close, task: served }
}

impl Served {
    async fn close(self) {
        self.close.send(()).unwrap();
        self.task.await.unwrap();
    }

    /// The answer to a request over TLS, and the certificate that the office showed; else what was wrong with it.
    async fn ask(&self, authority: &Authority) -> Result<(String, CertificateDer<'static>), String> {
        let mut roots = RootCertStore::empty();
        roots.add(CertificateDer::from_pem_slice(authority.pem.as_bytes()).unwrap()).unwrap();
        let config = ClientConfig::builder_with_provider(Arc::new(ring::default_provider()))
            .with_safe_default_protocol_versions()
            .unwrap()
            .with_root_certificates(roots)
            .with_no_client_auth();
        let connection = ClientConnection::new(Arc::new(config), "office.example".try_into().unwrap()).unwrap();
        let stream = TcpStream::connect(self.address).unwrap();
        tokio::task::spawn_blocking(move || {
            let mut stream = StreamOwned::new(connection, stream);
            stream.write_all(HEALTH).map_err(|error| error.to_string())?;
            let mut answer = Vec::new();
            stream.read_to_end(&mut answer).map_err(|error| error.to_string())?;
            let shown = stream.conn.peer_certificates().unwrap()[0].clone().into_owned();
            Ok((String::from_utf8(answer).unwrap(), shown))
        })
        .await
        .unwrap()
    }
}

/// The first certificate of a chain.
fn own(chain: &str) -> CertificateDer<'static> {
    CertificateDer::from_pem_slice(chain.as_bytes()).unwrap()
}

#[tokio::test(flavor = "multi_thread")]
async fn an_office_with_a_certificate_is_asked_over_tls_and_says_to_come_no_other_way() {
    let folder = tempfile::tempdir().unwrap();
    let authority = found("An authority");
    let pair = issue(&authority, &office("the office"));
    let served = serve(&write(folder.path(), &pair), Limits::default()).await;
    let (answer, shown) = served.ask(&authority).await.unwrap();
    assert!(answer.starts_with("HTTP/1.1 200") && answer.ends_with("ok\n"), "{answer}");
    assert!(answer.contains("strict-transport-security: max-age=31536000"), "{answer}");
    assert_eq!(shown, own(&pair.0));
    let error = served.ask(&found("An authority")).await.unwrap_err();
    assert!(error.contains("invalid peer certificate"), "another authority of that name: {error}");
    served.close().await;
}

#[tokio::test(flavor = "multi_thread")]
async fn whoever_does_not_speak_tls_or_is_slow_to_is_let_go() {
    let folder = tempfile::tempdir().unwrap();
    let authority = found("An authority");
    let files = write(folder.path(), &issue(&authority, &office("the office")));
    let limits = Limits { head: Duration::from_millis(300), connections: 8, ..Limits::default() };
    let served = serve(&files, limits).await;
    let address = served.address;
    for text in [HEALTH, b"\x16\x03\x01\x00\x05\x01\x00\x00\x01", b"\x16\x03\x01", b""] {
        let said = tokio::task::spawn_blocking(move || {
            let mut stream = TcpStream::connect(address).unwrap();
            let answer = say(&mut stream, text);
            // The end came from the office: nobody has ended the connection here.
            (answer, stream.read(&mut [0; 1]).unwrap_or(0))
        });
        let (answer, more) = said.await.unwrap();
        assert!(!answer.contains("HTTP") && more == 0, "{answer}");
    }
    // More of those than there is room for, at once: they are let go, and then there is room.
    let idle: Vec<TcpStream> = (0..12).map(|_| TcpStream::connect(address).unwrap()).collect();
    for mut stream in idle {
        tokio::task::spawn_blocking(move || say(&mut stream, b"")).await.unwrap();
    }
    assert!(served.ask(&authority).await.unwrap().0.ends_with("ok\n"));
    served.close().await;
}

/// As a file that was written a minute later.
fn touch(file: &Path, minutes: u64) {
    let later = SystemTime::UNIX_EPOCH + Duration::from_secs(4_000_000_000 + 60 * minutes);
    fs::File::options().write(true).open(file).unwrap().set_modified(later).unwrap();
}

#[tokio::test(flavor = "multi_thread")]
async fn a_renewed_certificate_is_taken_up_and_half_of_one_is_not() {
    let folder = tempfile::tempdir().unwrap();
    let authority = found("An authority");
    let (first, second) = (issue(&authority, &office("the office")), issue(&authority, &office("the office")));
    let files = write(folder.path(), &first);
    let served = serve(&files, Limits::default()).await;
    assert_eq!(served.ask(&authority).await.unwrap().1, own(&first.0));
    fs::write(&files.certificate, &second.0).unwrap();
    touch(&files.certificate, 1);
    for _ in 0..3 {
        assert_eq!(served.ask(&authority).await.unwrap().1, own(&first.0), "its key is not there yet");
    }
    fs::write(&files.key, &second.1).unwrap();
    touch(&files.key, 2);
    assert_eq!(served.ask(&authority).await.unwrap().1, own(&second.0));
    fs::remove_file(&files.key).unwrap();
    assert_eq!(served.ask(&authority).await.unwrap().1, own(&second.0));
    let told = served.told.lock().unwrap().clone();
    assert_eq!(told.len(), 3, "each change is told once: {told:?}");
    assert!(told[0].contains("is not the key of the first certificate"), "{told:?}");
    served.close().await;
}

#[test]
fn a_certificate_that_no_browser_would_take_is_refused_with_the_reason() {
    let folder = tempfile::tempdir().unwrap();
    let (authority, other) = (found("An authority"), found("Another"));
    let good = issue(&authority, &office("the office"));
    let refused = |chain: &str, key: &str| {
        let files = write(folder.path(), &(chain.to_owned(), key.to_owned()));
        Tls::open(files, Arc::new(World), Box::new(|_| {})).err().expect("it is refused")
    };
    let self_made = {
        let key = KeyPair::generate().unwrap();
        (office("the office").self_signed(&key).unwrap().pem(), key.serialize_pem())
    };
    assert!(matches!(refused(&self_made.0, &self_made.1), TlsError::SelfMade { .. }));
    assert!(matches!(refused(&good.0, &self_made.1), TlsError::OtherKey { .. }));
    assert!(matches!(refused("", &good.1), TlsError::Nothing { expected: "certificate", .. }));
    assert!(matches!(refused(&good.0, ""), TlsError::Nothing { expected: "private key", .. }));
    let swapped = issue(&other, &office("the office")).0.replace(&other.pem, &authority.pem);
    assert!(matches!(refused(&swapped, &good.1), TlsError::Broken { at: 1, .. }));
    let mut old = office("the office");
    old.not_after = rcgen::date_time_ymd(2025, 1, 1);
    let old = issue(&authority, &old);
    assert!(matches!(refused(&old.0, &old.1), TlsError::NotNow { .. }));
    let spoilt = "-----BEGIN CERTIFICATE-----\nAAAA\n-----END CERTIFICATE-----\n";
    assert!(matches!(refused(spoilt, &good.1), TlsError::Unfit { .. }));
    let missing = TlsFiles { certificate: folder.path().join("gone.pem"), key: folder.path().join("key.pem") };
    let error = Tls::open(missing, Arc::new(World), Box::new(|_| {})).err().unwrap().to_string();
    assert!(error.contains("gone.pem"), "{error}");
}
