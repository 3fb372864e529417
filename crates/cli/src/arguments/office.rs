//! What lets devices in and serves the office.

use std::{net::SocketAddr, path::PathBuf};

use api::PersonId;
use clap::{Args, Subcommand, ValueEnum};

use super::{PassphraseFrom, ReasonName, RoleName};

#[derive(Debug, Subcommand)]
pub enum OfficeCommand {
    /// Make a code that lets one device in: good once, for ten minutes.
    #[command(after_help = "Example:\n  rimside office code office --label \"Ines's phone\"")]
    Code(MakeCode),
    /// List the devices that were let in.
    #[command(after_help = "Example:\n  rimside office devices office")]
    Devices(ListDevices),
    /// Shut a device out at once: a lost phone. With --firm and --id its person's certificate is revoked in the same step.
    #[command(
        after_help = "Example:\n  rimside office shut-out office device-0123456789abcdef --firm firm --id ines --reason key-compromised"
    )]
    ShutOut(ShutOut),
    /// Show the firm's root, issuer and revocation list, so that the office takes the firm's reports and readers can judge
    /// them. Again after each new list.
    #[command(after_help = "Example:\n  rimside office show office --firm firm")]
    Show(ShowFirm),
    /// List the certificates that devices asked for, each with its key in eight words.
    #[command(after_help = "Example:\n  rimside office asked office")]
    Asked(ListAsked),
    /// Certify the key that a device asked for, once its words were compared with those on the device.
    #[command(
        after_help = "Example:\n  rimside office certify office device-0123456789abcdef --firm firm --id ines \\\n    \
        --words \"abandon ability able about above absent absorb abstract\""
    )]
    Certify(CertifyDevice),
    /// Give a device a certificate that was made elsewhere.
    #[command(after_help = "Example:\n  rimside office give office device-0123456789abcdef chain.pem")]
    Give(GiveCertificate),
    /// Copy the office into a new folder; it may be open meanwhile.
    #[command(after_help = "Example:\n  rimside office backup office --out backups/2026-11-24")]
    Backup(BackUp),
    /// Make an office of a copy, and hold all of it against what it must be.
    #[command(
        after_help = "Where the log had shown a later head than the copy has, the office is not restored as it was: going on would be a\nsecond history under one key. Give a new name with --new-log: the entries of the copy are put into a log of its own\nunder that name, the receipts of the old one stay good under its old key (log-before.pub), and what was entered since\nthe copy is entered again with `rimside log enter`. Tell the firm's readers of both keys.\n\nExample:\n  rimside office restore backups/2026-11-24 --to office --seen head.txt"
    )]
    Restore(Restore),
    /// Carry the office from its own folder to the stores that DATABASE_URL and BLOB_URL name, or back. Close it first.
    #[command(
        after_help = "Every row is compared where it came to, every photograph read again, the log audited; then the old place is\nclosed for good. The folder keeps the log's keys either way.\n\nExample:\n  DATABASE_URL=postgres://rimside@db.example/rimside BLOB_URL=s3://photographs/office \\\n    rimside office move office --to stores"
    )]
    Move(MoveOffice),
}

#[derive(Debug, Args)]
pub struct MoveOffice {
    /// The office's folder.
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    /// Where it goes.
    #[arg(long, value_enum)]
    pub to: MoveTo,
}

/// Where an office goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum MoveTo {
    /// PostgreSQL and, where BLOB_URL names one, a store of objects.
    Stores,
    /// The office's own folder.
    Folder,
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
pub struct BackUp {
    /// The office's folder.
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    /// The copy's folder; it is made, or must be empty.
    #[arg(long, value_name = "DIR")]
    pub out: PathBuf,
}

#[derive(Debug, Args)]
pub struct Restore {
    /// The copy's folder.
    #[arg(value_name = "BACKUP")]
    pub backup: PathBuf,
    /// The office's new folder; it is made, or must be empty.
    #[arg(long, value_name = "DIR")]
    pub to: PathBuf,
    /// The newest signed head of the log that anybody has, as `rimside log audit --keep` keeps it.
    #[arg(long, value_name = "FILE")]
    pub seen: Option<PathBuf>,
    /// Go on with another log of this name, since the one before has shown more than the copy has.
    #[arg(long, value_name = "NAME", conflicts_with = "seen")]
    pub new_log: Option<String>,
    #[command(flatten)]
    pub passphrase: PassphraseFrom,
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
    pub folder: Option<PathBuf>,
    /// Read settings from this file (TOML); a setting that is given here as well holds as it is given here.
    #[arg(long, value_name = "FILE")]
    pub config: Option<PathBuf>,
    /// Where to listen, 127.0.0.1:4718 if nothing is said.
    #[arg(long, value_name = "ADDRESS")]
    pub listen: Option<SocketAddr>,
    /// The folder of the field app's pages, which the office gives out as well: devices then sync with where they are from.
    #[arg(long, value_name = "DIR")]
    pub pages: Option<PathBuf>,
    /// The certificate's chain (PEM), where the office speaks TLS itself; renewed, it is taken up without a restart.
    #[arg(long, value_name = "FILE")]
    pub tls_certificate: Option<PathBuf>,
    /// The certificate's private key (PEM).
    #[arg(long, value_name = "FILE")]
    pub tls_key: Option<PathBuf>,
    /// Any setting by its name in the file, such as limits.connections=64; may be given several times.
    #[arg(long, value_name = "NAME=VALUE", value_parser = parse_setting)]
    pub set: Vec<(String, String)>,
    /// Read and open everything, say what holds and where it came from, and end.
    #[arg(long)]
    pub check: bool,
    #[command(flatten)]
    pub passphrase: PassphraseFrom,
}

fn parse_setting(text: &str) -> Result<(String, String), String> {
    let pair = text.split_once('=').map(|(name, value)| (name.trim().to_owned(), value.trim().to_owned()));
    pair.ok_or_else(|| "expected a setting's name, = and its value".to_owned())
}

/// What stands under the help of `serve`.
pub fn explain_settings() -> String {
    let width = server::SETTINGS.iter().map(|(name, _)| name.len()).max().unwrap_or(0);
    let lines: Vec<String> =
        server::SETTINGS.iter().map(|(name, meaning)| format!("  {name:width$}  {meaning}")).collect();
    format!(
        "Settings, by a flag, by --set, by a variable (limits.connections is {}LIMITS_CONNECTIONS)\nor in the file that \
         --config or {}CONFIG names; the first one that has it holds:\n{}\n\nExample:\n  rimside serve office --listen \
         127.0.0.1:4718 --passphrase-file passphrase",
        server::VARIABLES,
        server::VARIABLES,
        lines.join("\n")
    )
}
