//! How an office is served: flags outrank the environment, the environment outranks the file, the file outranks what is
//! usual. Each value knows where it came from, and a name that nobody knows is refused: a misspelt limit would be none.

mod layer;

use std::{
    fmt,
    net::{IpAddr, SocketAddr},
    path::{Path, PathBuf},
    time::Duration,
};

use crate::http::{Limits, Rate, TlsFiles};
use layer::Layers;

/// What the names of variables begin with.
pub const VARIABLES: &str = "RIMSIDE_SERVE_";

/// Every setting, as the file spells it, with what it means.
pub const SETTINGS: [(&str, &str); 17] = [
    ("folder", "the office's folder"),
    ("listen", "the address to listen at"),
    ("pages", "the folder of the field app's pages"),
    ("passphrase-file", "the file with the passphrase of the log's key"),
    ("proxy", "the address of the proxy whose word about a client's address is taken"),
    ("metrics.listen", "the address at which Prometheus may read; none if nothing is said"),
    ("metrics.firms", "whether what it reads names firms: true or false"),
    ("limits.connections", "connections at once"),
    ("limits.head-seconds", "until a request's head has come whole"),
    ("limits.answer-seconds", "until a request is answered"),
    ("limits.closing-seconds", "until what was begun is finished, when the office closes"),
    ("limits.address-per-minute", "requests of one address in a minute"),
    ("limits.device-per-minute", "requests of one device in a minute"),
    ("limits.enrol-per-minute", "attempts of one address in a minute to let a device in"),
    ("tls.certificate", "the certificate's chain, PEM, its own certificate first"),
    ("tls.key", "its private key, PEM"),
    ("timestamp.authority", "the address of an authority that is asked for a timestamp of each report (RFC 3161)"),
];

/// Where a value came from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Origin {
    /// An argument.
    Flag,
    /// This variable of the environment.
    Environment(String),
    /// This file.
    File(PathBuf),
    /// Nobody said anything.
    Usual,
}

impl fmt::Display for Origin {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Flag => f.write_str("flag"),
            Self::Environment(name) => write!(f, "environment, {name}"),
            Self::File(file) => write!(f, "file, {}", file.display()),
            Self::Usual => f.write_str("default"),
        }
    }
}

/// A value as it holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Effective {
    /// Which.
    pub name: &'static str,
    /// The value; none where there is none.
    pub value: Option<String>,
    /// Where it came from.
    pub origin: Origin,
}

/// Why an office cannot be served so.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum SettingsError {
    /// The file is none of settings.
    #[error("{file}: {why}")]
    Unreadable {
        /// Which.
        file: String,
        /// What is wrong, with its line.
        why: String,
    },
    /// A name that is none.
    #[error("{place}: {name:?} is no setting; expected one of {expected}")]
    Unknown {
        /// The file, the environment or the flags.
        place: String,
        /// What came.
        name: String,
        /// The names that there are.
        expected: String,
    },
    /// A value that is none of its setting.
    #[error("{name} (from {origin}): got {got:?}, expected {expected}")]
    Unfit {
        /// Of which setting.
        name: &'static str,
        /// Where it came from.
        origin: Origin,
        /// What came.
        got: String,
        /// What was expected.
        expected: &'static str,
    },
    /// One that cannot be done without.
    #[error("{name} is not set: {expected}")]
    Missing {
        /// Which.
        name: &'static str,
        /// What was expected.
        expected: &'static str,
    },
}

/// How an office is served.
#[derive(Debug, Clone)]
pub struct Settings {
    /// The office's folder.
    pub folder: PathBuf,
    /// Where to listen.
    pub listen: SocketAddr,
    /// The folder of the pages.
    pub pages: Option<PathBuf>,
    /// Where the passphrase is read from; else it is asked for.
    pub passphrase_file: Option<PathBuf>,
    /// How much anybody may take.
    pub limits: Limits,
    /// The certificate, where the office speaks TLS itself.
    pub tls: Option<TlsFiles>,
    /// The address of the authority that is asked for a timestamp of each report, where one is.
    pub authority: Option<String>,
    /// Where Prometheus may read what the office counts.
    pub metrics: Option<SocketAddr>,
    /// Whether firms are named there.
    pub metrics_name_firms: bool,
    /// Every value with where it came from, in the order of [`SETTINGS`].
    pub effective: Vec<Effective>,
}

/// Puts the settings together: flags as name and value, all variables of the environment, and the file with its text.
/// A path in the file is meant from the file's own folder.
///
/// # Errors
/// [`SettingsError`].
pub fn read_settings(
    flags: &[(String, String)],
    environment: &[(String, String)],
    file: Option<(&Path, &str)>,
) -> Result<Settings, SettingsError> {
    let layers = Layers::read(flags, environment, file)?;
    let usual = Limits::default();
    let limits = Limits {
        connections: layers.count("limits.connections", usual.connections as u64)? as usize,
        head: layers.seconds("limits.head-seconds", usual.head)?,
        answer: layers.seconds("limits.answer-seconds", usual.answer)?,
        closing: layers.seconds("limits.closing-seconds", usual.closing)?,
        address: layers.rate("limits.address-per-minute", usual.address)?,
        device: layers.rate("limits.device-per-minute", usual.device)?,
        enrol: layers.rate("limits.enrol-per-minute", usual.enrol)?,
        proxy: layers.parse::<IpAddr>("proxy", "an address such as 127.0.0.1")?,
    };
    let tls = match (layers.path("tls.certificate"), layers.path("tls.key")) {
        (Some(certificate), Some(key)) => Some(TlsFiles { certificate, key }),
        (None, None) => None,
        (certificate, _) => {
            let name = if certificate.is_none() { "tls.certificate" } else { "tls.key" };
            return Err(SettingsError::Missing { name, expected: "a certificate and its key go together" });
        }
    };
    let listen = layers.parse("listen", "an address with its port, such as 127.0.0.1:4718")?;
    let settings = Settings {
        folder: layers.path("folder").ok_or(SettingsError::Missing {
            name: "folder",
            expected: "name the folder that `rimside log found` made",
        })?,
        listen: listen.unwrap_or_else(|| SocketAddr::from(([127, 0, 0, 1], 4718))),
        pages: layers.path("pages"),
        passphrase_file: layers.path("passphrase-file"),
        limits,
        tls,
        authority: layers.text("timestamp.authority"),
        metrics: layers.parse("metrics.listen", "an address with its port, such as 127.0.0.1:9418")?,
        metrics_name_firms: layers.parse("metrics.firms", "true or false")?.unwrap_or(false),
        effective: Vec::new(),
    };
    let effective = SETTINGS.iter().map(|(name, _)| layers.tell(name, settings.usual(name))).collect();
    Ok(Settings { effective, ..settings })
}

impl Settings {
    /// What a setting comes to, for those that have a value where nobody said anything.
    fn usual(&self, name: &str) -> Option<String> {
        let seconds = |duration: Duration| Some(duration.as_secs().to_string());
        let rate = |rate: Rate| Some(rate.per_minute.to_string());
        match name {
            "listen" => Some(self.listen.to_string()),
            "metrics.firms" => Some(self.metrics_name_firms.to_string()),
            "limits.connections" => Some(self.limits.connections.to_string()),
            "limits.head-seconds" => seconds(self.limits.head),
            "limits.answer-seconds" => seconds(self.limits.answer),
            "limits.closing-seconds" => seconds(self.limits.closing),
            "limits.address-per-minute" => rate(self.limits.address),
            "limits.device-per-minute" => rate(self.limits.device),
            "limits.enrol-per-minute" => rate(self.limits.enrol),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests;
