//! What lets devices in and serves the office.

use std::{net::SocketAddr, path::PathBuf};

use api::PersonId;
use clap::{Args, Subcommand};

use super::{PassphraseFrom, ReasonName, RoleName};

#[derive(Debug, Subcommand)]
pub enum OfficeCommand {
    /// Make a code that lets one device in: good once, for ten minutes.
    #[command(after_help = "Example:\n  rimside office code log --label \"Ines's phone\"")]
    Code(MakeCode),
    /// List the devices that were let in.
    #[command(after_help = "Example:\n  rimside office devices log")]
    Devices(ListDevices),
    /// Shut a device out at once: a lost phone. With --firm and --id its person's certificate is revoked in the same step.
    #[command(after_help = "Examples:\n  rimside office shut-out log device-0123456789abcdef\n  \
        rimside office shut-out log device-0123456789abcdef --firm firm --id ines --reason key-compromised")]
    ShutOut(ShutOut),
    /// Show the firm's root, issuer and revocation list, so that the office takes the firm's reports and readers can judge
    /// them. Again after each new list.
    #[command(after_help = "Example:\n  rimside office show log --firm firm")]
    Show(ShowFirm),
    /// List the certificates that devices asked for, each with its key in eight words.
    #[command(after_help = "Example:\n  rimside office asked log")]
    Asked(ListAsked),
    /// Certify the key that a device asked for, once its words were compared with those on the device.
    #[command(
        after_help = "Example:\n  rimside office certify log device-0123456789abcdef --firm firm --id ines \\\n    \
        --words \"abandon ability able about above absent absorb abstract\""
    )]
    Certify(CertifyDevice),
    /// Give a device a certificate that was made elsewhere.
    #[command(after_help = "Example:\n  rimside office give log device-0123456789abcdef chain.pem")]
    Give(GiveCertificate),
}

#[derive(Debug, Args)]
pub struct ShowFirm {
    /// The office's folder.
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    /// The firm's folder, or a copy of its root.pem, issuer.pem and crl.pem; no key is opened.
    #[arg(long, value_name = "DIR")]
    pub firm: PathBuf,
}

#[derive(Debug, Args)]
pub struct ListAsked {
    /// The office's folder.
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
}

#[derive(Debug, Args)]
pub struct CertifyDevice {
    /// The office's folder.
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    /// The device, as the list names it.
    #[arg(value_name = "DEVICE")]
    pub device: String,
    /// The firm's folder with the issuer's key, which may lie on a stick.
    #[arg(long, value_name = "DIR")]
    pub firm: PathBuf,
    /// A short name for the person's files in the firm's folder.
    #[arg(long, value_name = "PERSON")]
    pub id: PersonId,
    /// The eight words, read from the device's own screen.
    #[arg(long, value_name = "WORDS")]
    pub words: String,
    #[command(flatten)]
    pub passphrase: PassphraseFrom,
}

#[derive(Debug, Args)]
pub struct GiveCertificate {
    /// The office's folder.
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    /// The device, as the list names it.
    #[arg(value_name = "DEVICE")]
    pub device: String,
    /// The certificate, its issuer and the root, one after another in PEM.
    #[arg(value_name = "CHAIN")]
    pub chain: PathBuf,
}

#[derive(Debug, Args)]
pub struct MakeCode {
    /// The office's folder, as `rimside log found` made it.
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    /// What the office calls the device.
    #[arg(long)]
    pub label: String,
    /// What it may do: a dealer sees nothing but what is the dealer's own; the office's own let others in and shut them out.
    #[arg(long, value_enum, default_value_t = RoleName::Inspector)]
    pub role: RoleName,
}

#[derive(Debug, Args)]
pub struct ListDevices {
    /// The office's folder.
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
}

#[derive(Debug, Args)]
pub struct ShutOut {
    /// The office's folder.
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    /// The device, as the list names it.
    #[arg(value_name = "DEVICE")]
    pub device: String,
    /// The firm's folder: the person's certificate is revoked as well, the new list shown, the log told.
    #[arg(long, value_name = "DIR", requires = "id")]
    pub firm: Option<PathBuf>,
    /// Whose certificate, by the name of its files.
    #[arg(long, value_name = "PERSON", requires = "firm")]
    pub id: Option<PersonId>,
    /// Why.
    #[arg(long, value_enum, default_value_t = ReasonName::KeyCompromised)]
    pub reason: ReasonName,
    #[command(flatten)]
    pub passphrase: PassphraseFrom,
    /// Read the passphrase of the log's key from here.
    #[arg(long, value_name = "FILE")]
    pub log_passphrase_file: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub struct Serve {
    /// The office's folder, as `rimside log found` made it.
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    /// Where to listen. Behind a proxy that has the certificate: it speaks no TLS itself yet.
    #[arg(long, value_name = "ADDRESS", default_value = "127.0.0.1:4718")]
    pub listen: SocketAddr,
    /// The folder of the field app's pages, which the office gives out as well: devices then sync with where they are from.
    #[arg(long, value_name = "DIR")]
    pub pages: Option<PathBuf>,
    /// Look whether it could be served, and end.
    #[arg(long)]
    pub check: bool,
    #[command(flatten)]
    pub passphrase: PassphraseFrom,
}
