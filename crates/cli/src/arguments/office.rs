//! What lets devices in and serves the office.

use std::{net::SocketAddr, path::PathBuf};

use clap::{Args, Subcommand};

use super::PassphraseFrom;

#[derive(Debug, Subcommand)]
pub enum OfficeCommand {
    /// Make a code that lets one device in: good once, for ten minutes.
    #[command(after_help = "Example:\n  rimside office code log --label \"Ines's phone\"")]
    Code(MakeCode),
    /// List the devices that were let in.
    #[command(after_help = "Example:\n  rimside office devices log")]
    Devices(ListDevices),
    /// Shut a device out at once: a lost phone.
    #[command(after_help = "Example:\n  rimside office shut-out log device-0123456789abcdef")]
    ShutOut(ShutOut),
}

#[derive(Debug, Args)]
pub struct MakeCode {
    /// The office's folder, as `rimside log found` made it.
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    /// What the office calls the device.
    #[arg(long)]
    pub label: String,
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
         --config or {}CONFIG names; the first one that has it holds:\n{}\n\nExample:\n  rimside serve log --listen \
         127.0.0.1:4718 --passphrase-file passphrase",
        server::VARIABLES,
        server::VARIABLES,
        lines.join("\n")
    )
}
