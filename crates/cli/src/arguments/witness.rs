//! What keeps a witness of others' logs.

use std::{net::SocketAddr, path::PathBuf};

use clap::{Args, Subcommand};

use super::PassphraseFrom;

#[derive(Debug, Subcommand)]
pub enum WitnessCommand {
    /// Begin a witness in a new folder, with a key of its own.
    #[command(after_help = "Example:\n  rimside witness found witness --name witness.north-bay.example/w1")]
    Found(FoundWitness),
    /// Watch a log from now on: its heads are signed as long as it grows and never changes.
    #[command(after_help = "Example:\n  rimside witness watch witness --log log.pub")]
    Watch(WatchLog),
    /// Serve the witness to the logs that it watches, and what it signed last to everybody.
    #[command(
        after_help = "Example:\n  rimside witness serve witness --listen 127.0.0.1:4719 --passphrase-file passphrase"
    )]
    Serve(ServeWitness),
}

#[derive(Debug, Args)]
pub struct FoundWitness {
    /// The witness's folder; it is made, or must be empty.
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    /// The witness's name, as a web address without its beginning.
    #[arg(long)]
    pub name: String,
    #[command(flatten)]
    pub passphrase: PassphraseFrom,
}

#[derive(Debug, Args)]
pub struct WatchLog {
    /// The witness's folder.
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    /// The log's key, as its firm gave it: `name+id+key` on one line.
    #[arg(long, value_name = "FILE")]
    pub log: PathBuf,
}

#[derive(Debug, Args)]
pub struct ServeWitness {
    /// The witness's folder.
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    /// Where to listen.
    #[arg(long, value_name = "ADDRESS", default_value = "127.0.0.1:4719")]
    pub listen: SocketAddr,
    /// The certificate's chain (PEM), where no proxy in front speaks TLS; renewed, it is taken up without a restart.
    #[arg(long, value_name = "FILE", requires = "tls_key")]
    pub tls_certificate: Option<PathBuf>,
    /// The certificate's private key (PEM).
    #[arg(long, value_name = "FILE", requires = "tls_certificate")]
    pub tls_key: Option<PathBuf>,
    #[command(flatten)]
    pub passphrase: PassphraseFrom,
}
