//! TLS by the office itself: a certificate's chain and its key, read anew when their files change.

use std::{
    fs::{self, Metadata},
    io,
    path::{Path, PathBuf},
    sync::{Arc, Mutex, PoisonError},
    time::SystemTime,
};

use chrono::{DateTime, Utc};
use tokio_rustls::rustls::{
    Error, InconsistentKeys, ServerConfig,
    crypto::ring,
    pki_types::{CertificateDer, PrivateKeyDer, pem, pem::PemObject as _},
    version::{TLS12, TLS13},
};
use x509_cert::{Certificate, der::Decode as _};

use crate::enrol::OfficeWorld;

/// Browsers that came once over TLS come no other way for a year.
pub(super) const STRICT: &str = "max-age=31536000";

/// Where certificate and key lie.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TlsFiles {
    /// The chain, PEM, the office's own certificate first.
    pub certificate: PathBuf,
    /// Its private key, PEM.
    pub key: PathBuf,
}

/// Why the office cannot speak TLS with these files.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum TlsError {
    /// A file that cannot be read.
    #[error("{file}: {cause}")]
    File {
        /// Which.
        file: String,
        /// Why.
        #[source]
        cause: io::Error,
    },
    /// A file without what is looked for.
    #[error("{file}: got no {expected} in PEM")]
    Nothing {
        /// Which.
        file: String,
        /// What was expected.
        expected: &'static str,
    },
    /// Something in PEM that is not what it says.
    #[error("{file}: got {got}, expected {expected}")]
    Unfit {
        /// Which.
        file: String,
        /// What came.
        got: String,
        /// What was expected.
        expected: &'static str,
    },
    /// The key is another certificate's.
    #[error("{key} is not the key of the first certificate in {certificate}")]
    OtherKey {
        /// The certificate's file.
        certificate: String,
        /// The key's file.
        key: String,
    },
    /// The certificate vouches for itself.
    #[error("{file}: the certificate of {subject} vouches for itself, and no browser takes its word")]
    SelfMade {
        /// Its file.
        file: String,
        /// Whose it is.
        subject: String,
    },
    /// The chain does not hang together.
    #[error("{file}: certificate {at} was issued by {issuer}, and the next one is that of {next}")]
    Broken {
        /// Its file.
        file: String,
        /// Its place, counted from 1.
        at: usize,
        /// Who issued it.
        issuer: String,
        /// Whose the next one is.
        next: String,
    },
    /// Not now.
    #[error("{file}: the certificate is good from {from} to {to}, and it is {now}")]
    NotNow {
        /// Its file.
        file: String,
        /// Its first moment.
        from: DateTime<Utc>,
        /// Its last.
        to: DateTime<Utc>,
        /// This machine's time.
        now: DateTime<Utc>,
    },
}

/// What tells that a file is another one.
type Stamp = Option<(SystemTime, u64)>;

/// TLS with a certificate that may be renewed while the office is open.
pub struct Tls {
    files: TlsFiles,
    world: Arc<dyn OfficeWorld>,
    tell: Box<dyn Fn(&str) + Send + Sync>,
    held: Mutex<([Stamp; 2], Arc<ServerConfig>)>,
}

impl Tls {
    /// Reads the files. What is to be said of them later goes to `tell`.
    ///
    /// # Errors
    /// [`TlsError`].
    pub fn open(
        files: TlsFiles,
        world: Arc<dyn OfficeWorld>,
        tell: Box<dyn Fn(&str) + Send + Sync>,
    ) -> Result<Self, TlsError> {
        let held = (stamps(&files), read(&files, world.now())?);
        Ok(Self { files, world, tell, held: Mutex::new(held) })
    }

    /// How the next connection is met. A certificate that was renewed is taken up; one that does not fit, as while only one
    /// of the two files has been replaced, leaves the one before in its place.
    pub(super) fn config(&self) -> Arc<ServerConfig> {
        let mut held = self.held.lock().unwrap_or_else(PoisonError::into_inner);
        let now = stamps(&self.files);
        if held.0 != now {
            held.0 = now;
            match read(&self.files, self.world.now()) {
                Ok(config) => {
                    held.1 = config;
                    (self.tell)("the certificate was read anew");
                }
                Err(error) => (self.tell)(&format!("the certificate before stays: {error}")),
            }
        }
        Arc::clone(&held.1)
    }
}

fn stamps(files: &TlsFiles) -> [Stamp; 2] {
    let stamp = |metadata: Metadata| Some((metadata.modified().ok()?, metadata.len()));
    [&files.certificate, &files.key].map(|file| fs::metadata(file).ok().and_then(stamp))
}

fn read(files: &TlsFiles, now: DateTime<Utc>) -> Result<Arc<ServerConfig>, TlsError> {
    let name = |file: &Path| file.display().to_string();
    let text = |file: &Path| fs::read(file).map_err(|cause| TlsError::File { file: name(file), cause });
    let unfit = |file: &Path, got: &dyn std::fmt::Display, expected| TlsError::Unfit {
        file: name(file),
        got: got.to_string(),
        expected,
    };
    let chain: Vec<CertificateDer<'static>> = CertificateDer::pem_slice_iter(&text(&files.certificate)?)
        .collect::<Result<_, _>>()
        .map_err(|error| unfit(&files.certificate, &error, "certificates in PEM"))?;
    if chain.is_empty() {
        return Err(TlsError::Nothing { file: name(&files.certificate), expected: "certificate" });
    }
    look_through(&name(&files.certificate), &chain, now)?;
    let key = PrivateKeyDer::from_pem_slice(&text(&files.key)?).map_err(|error| match error {
        pem::Error::NoItemsFound => TlsError::Nothing { file: name(&files.key), expected: "private key" },
        error => unfit(&files.key, &error, "a private key in PEM"),
    })?;
    let builder = ServerConfig::builder_with_provider(Arc::new(ring::default_provider()));
    let versions = builder.with_protocol_versions(&[&TLS13, &TLS12]);
    let config = versions.and_then(|builder| builder.with_no_client_auth().with_single_cert(chain, key));
    let mut config = config.map_err(|error| match error {
        Error::InconsistentKeys(InconsistentKeys::KeyMismatch) => {
            TlsError::OtherKey { certificate: name(&files.certificate), key: name(&files.key) }
        }
        error => unfit(&files.key, &error, "a key that TLS can sign with: RSA, P-256, P-384 or Ed25519"),
    })?;
    config.alpn_protocols = vec![b"http/1.1".to_vec()];
    Ok(Arc::new(config))
}

/// What a browser would refuse is refused here, where somebody can still do something about it.
fn look_through(file: &str, chain: &[CertificateDer<'_>], now: DateTime<Utc>) -> Result<(), TlsError> {
    let read = |der: &CertificateDer<'_>| {
        Certificate::from_der(der).map_err(|error| TlsError::Unfit {
            file: file.to_owned(),
            got: error.to_string(),
            expected: "an X.509 certificate",
        })
    };
    let chain: Vec<Certificate> = chain.iter().map(read).collect::<Result<_, _>>()?;
    let (issuer, subject) = (
        |one: &Certificate| one.tbs_certificate().issuer().to_string(),
        |one: &Certificate| one.tbs_certificate().subject().to_string(),
    );
    for (at, pair) in (1..).zip(chain.windows(2)) {
        if issuer(&pair[0]) != subject(&pair[1]) {
            return Err(TlsError::Broken {
                file: file.to_owned(),
                at,
                issuer: issuer(&pair[0]),
                next: subject(&pair[1]),
            });
        }
    }
    let Some(own) = chain.first() else { return Ok(()) };
    if issuer(own) == subject(own) {
        return Err(TlsError::SelfMade { file: file.to_owned(), subject: subject(own) });
    }
    let validity = own.tbs_certificate().validity();
    let [from, to] = [&validity.not_before, &validity.not_after].map(|time| DateTime::from(time.to_system_time()));
    if now < from || to < now {
        return Err(TlsError::NotNow { file: file.to_owned(), from, to, now });
    }
    Ok(())
}
