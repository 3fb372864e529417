//! What keeps and reads a public log.

use std::path::PathBuf;

use clap::{Args, Subcommand};
use server::FirmId;

use super::PassphraseFrom;

#[derive(Debug, Subcommand)]
pub enum LogCommand {
    /// Begin a log in a new folder: its key, its rows, and the files that anybody may read.
    #[command(after_help = "Example:\n  rimside log found log --name log.harbour-vale.example/reports")]
    Found(FoundLog),
    /// Enter sealed reports and signed withdrawals; each report gets its receipt.
    #[command(after_help = "Example:\n  rimside log enter log report.pdf --root root.pem")]
    Enter(EnterLog),
    /// Ask a witness from now on to sign each head: its time then stands in the receipts.
    #[command(
        after_help = "Example:\n  rimside log add-witness log --witness witness.pub --at https://witness.north-bay.example\n\nThe office reads its witnesses when it begins. Over https, this machine's list of authorities has to know who issued the witness's certificate."
    )]
    AddWitness(AddWitness),
    /// Read a whole log again, to its last entry.
    #[command(
        after_help = "Exit: 0 it holds, 1 it does not, 2 it could not be read whole.\n\nExample:\n  rimside log audit log/public/firm --key log/log.pub --seen head.txt --keep head.txt"
    )]
    Audit(AuditLog),
}

#[derive(Debug, Args)]
pub struct FoundLog {
    /// The log's folder; it is made, or must be empty.
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    /// The log's name, as a web address without its beginning.
    #[arg(long)]
    pub name: String,
    /// Whose it is, where it shares its stores with other firms: 1 to 40 of a-z, 0-9 and -.
    #[arg(long)]
    pub firm: Option<FirmId>,
    #[command(flatten)]
    pub passphrase: PassphraseFrom,
}

#[derive(Debug, Args)]
pub struct EnterLog {
    /// The log's folder.
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    /// Sealed reports (PDF) and signed statements (PEM).
    #[arg(value_name = "FILE", required = true)]
    pub files: Vec<PathBuf>,
    /// The root of the firm whose log it is.
    #[arg(long, value_name = "FILE")]
    pub root: PathBuf,
    #[command(flatten)]
    pub passphrase: PassphraseFrom,
}

#[derive(Debug, Args)]
pub struct AuditLog {
    /// The folder of the log's public files.
    #[arg(value_name = "DIR")]
    pub log: PathBuf,
    /// The log's key, as the firm gave it.
    #[arg(long, value_name = "FILE")]
    pub key: PathBuf,
    /// The signed head that an earlier audit kept: the log must still begin with what it had then.
    #[arg(long, value_name = "FILE")]
    pub seen: Option<PathBuf>,
    /// Where the signed head goes, to be compared the next time.
    #[arg(long, value_name = "FILE")]
    pub keep: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub struct AddWitness {
    /// The log's folder.
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    /// The witness's key, `name+id+key` on one line.
    #[arg(long, value_name = "FILE")]
    pub witness: PathBuf,
    /// Where it listens.
    #[arg(long = "at", value_name = "ADDRESS")]
    pub address: String,
}
