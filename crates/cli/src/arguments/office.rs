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
