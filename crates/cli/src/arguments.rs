//! The arguments: names, help, examples.

mod checking;
mod log;
mod measuring;
mod office;
mod timestamp;
mod witness;

pub use checking::{Brought, Verify};
pub use log::{AddWitness, AuditLog, EnterLog, FoundLog, LogCommand};
pub use measuring::{Photo, Recording};
pub use office::{
    BackUp, CertifyDevice, GiveCertificate, ListAsked, ListDevices, MakeCode, MoveOffice, MoveTo, OfficeCommand,
    Restore, Serve, ShowFirm, ShutOut, explain_settings,
};
pub use timestamp::{AttachTimestamp, FetchTimestamp, RequestTimestamp, TimestampCommand};
pub use witness::{FoundWitness, ServeWitness, WatchLog, WitnessCommand};

use std::path::PathBuf;

use api::{PersonId, Reason, Role, model};
use chrono::{DateTime, Utc};
use clap::{Args, Parser, Subcommand, ValueEnum};

const EXITS: &str = "\
Exit codes:
  0   done; verify: genuine (also with the standing not checked,
      unless --require-standing)
  1   verify: do not rely on this file; log audit: on this log
  2   verify: cannot be fully confirmed; log audit: could not be read
  3   verify: genuine, but withdrawn or superseded
  64  the command was misspelt
  70  a fault of a file, a folder, a key or the program

Results go to standard output, progress and faults to standard error.
Passphrases are asked for on the terminal or read from a file (- is
standard input); they are never arguments or environment variables.";

/// Inspections of carbon-ceramic brakes, sealed so that anyone can check them.
#[derive(Debug, Parser)]
#[command(name = "rimside", version, after_help = EXITS, max_term_width = 110, subcommand_required = true)]
pub struct Arguments {
    /// Answer with JSON on standard output, faults included.
    #[arg(long, global = true)]
    pub json: bool,
    #[command(subcommand)]
    pub command: Command,
}

#[derive(Debug, Subcommand)]
pub enum Command {
    /// Set up a firm, or keep its revocation list fresh.
    #[command(subcommand)]
    Firm(FirmCommand),
    /// Certify a person of the firm, for two years.
    #[command(
        after_help = "Example:\n  rimside certify --firm firm --id ines --name \"Ines Okafor-Lind\" --role inspector"
    )]
    Certify(Certify),
    /// Revoke a person's certificate: what its key signed then counts only where a receipt or a timestamp proves an earlier time.
    #[command(after_help = "Example:\n  rimside revoke --firm firm --id ines --reason key-compromised")]
    Revoke(Revoke),
    /// Say what an inspection comes to. Writes nothing.
    #[command(after_help = "Example:\n  rimside reckon inspection.json")]
    Reckon(Reckon),
    /// Write a buyer's letter of questions to a seller. No inspection is needed.
    #[command(after_help = "Example:\n  rimside ask letter.json --out letter.pdf")]
    Ask(Ask),
    /// Hold a seller's reply against the questions and, where there is one, an inspection.
    #[command(after_help = "Example:\n  rimside reply letter.json reply.json --inspection inspection.json")]
    Reply(ReplyTo),
    /// Seal an inspection: a signed PDF report with the record inside.
    #[command(
        after_help = "Example:\n  rimside seal inspection.json --photographs photographs --firm firm --as ines --out report.pdf"
    )]
    Seal(Seal),
    /// Seal a dealer's condition statement: answers to somebody who asked in writing.
    #[command(
        after_help = "Example:\n  rimside state answers.json --report report.pdf --root inspector-root.pem --firm dealer --as owen --out statement.pdf"
    )]
    State(State),
    /// Read photographs of a disc's faces: fibre pattern, colour, the stage among references, one face against the other.
    #[command(
        after_help = "Example:\n  rimside photo outer.jpg inner.jpg --references references/references.json\n\nBeside each photograph lies its mark, as outer.jpg.mark.json: the ring's outer and inner edge at the disc's right,\nbelow, left and above in pixels, the outer diameter in mm, and a grey card or null:\n  {\"outer\": [[x, y], [x, y], [x, y], [x, y]], \"inner\": [...], \"outer_diameter_mm\": 390, \"grey_card\": null}"
    )]
    Photo(Photo),
    /// Read the recordings of a road test: brakings, anti-lock, pulsation, sound.
    #[command(
        after_help = "Example:\n  rimside recording motion.csv position.gpx sound.wav --front-tyre 245/35R20 --plots plots"
    )]
    Recording(Recording),
    /// Ask of a report or statement: unchanged? whose? since when? does it still stand?
    #[command(after_help = "Example:\n  rimside verify report.pdf --root root.pem --crl crl.pem")]
    Verify(Verify),
    /// Show the record inside a report, or a record's own file. Checks nothing.
    #[command(after_help = "Example:\n  rimside show report.pdf")]
    Show(Show),
    /// Withdraw a report, or supersede it by another: a signed statement to go beside it.
    #[command(
        after_help = "Example:\n  rimside withdraw report.pdf --firm firm --as tomas --reason \"The mass was read from the wrong disc.\""
    )]
    Withdraw(Withdraw),
    /// Put a log's receipt into a report: a proof of time. No signed byte changes.
    #[command(after_help = "Example:\n  rimside attach-receipt report.pdf --receipt receipt.txt")]
    AttachReceipt(AttachReceipt),
    /// Ask an authority for a timestamp over a report's signature, and put its answer into the report.
    #[command(subcommand)]
    Timestamp(TimestampCommand),
    /// Keep a firm's public log, or read one to its last entry.
    #[command(subcommand)]
    Log(LogCommand),
    /// Let devices into the office, and shut them out.
    #[command(subcommand)]
    Office(OfficeCommand),
    /// Witness the logs of others: sign their heads, with the time, as long as they only grow.
    #[command(subcommand)]
    Witness(WitnessCommand),
    /// Serve the office: the log for everybody, receipts for its devices.
    #[command(after_help = explain_settings())]
    Serve(Serve),
    /// Print the JSON Schema of an inspection, a record, a letter, a reply or a statement.
    #[command(after_help = "Example:\n  rimside schema inspection")]
    Schema {
        /// Of what.
        #[arg(value_enum, default_value_t = SchemaOf::Inspection)]
        of: SchemaOf,
    },
    /// Print the completions for a shell.
    #[command(after_help = "Example:\n  rimside completions bash > ~/.local/share/bash-completion/completions/rimside")]
    Completions {
        /// For which.
        #[arg(value_enum)]
        shell: clap_complete::Shell,
    },
}

#[derive(Debug, Subcommand)]
pub enum FirmCommand {
    /// Set up a firm in a new folder: its root, its issuer, an empty revocation list.
    #[command(after_help = "Example:\n  rimside firm found firm --name \"Harbour & Vale Inspections\"")]
    Found(Found),
    /// Publish the revocation list anew, unchanged but for its date.
    #[command(after_help = "Example:\n  rimside firm renew-list firm")]
    RenewList(RenewList),
}

#[derive(Debug, Args)]
pub struct PassphraseFrom {
    /// Read the passphrase from this file (- for standard input) instead of the terminal.
    #[arg(long, value_name = "FILE")]
    pub passphrase_file: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub struct Found {
    /// The new folder.
    pub folder: PathBuf,
    /// The firm's name, as certificates and reports will show it.
    #[arg(long)]
    pub name: String,
    #[command(flatten)]
    pub passphrase: PassphraseFrom,
}

#[derive(Debug, Args)]
pub struct RenewList {
    /// The firm's folder.
    pub folder: PathBuf,
    #[command(flatten)]
    pub passphrase: PassphraseFrom,
}

#[derive(Debug, Args)]
pub struct Certify {
    /// The firm's folder.
    #[arg(long, value_name = "DIR")]
    pub firm: PathBuf,
    /// A short name for the person's files: a to z, 0 to 9 and -.
    #[arg(long, value_name = "PERSON")]
    pub id: PersonId,
    /// Given and family name, as reports will show it.
    #[arg(long)]
    pub name: String,
    /// What the person may do.
    #[arg(long, value_enum)]
    pub role: RoleName,
    #[command(flatten)]
    pub passphrase: PassphraseFrom,
    /// Read the passphrase for the person's new key from here; if only --passphrase-file is given, both are the same.
    #[arg(long, value_name = "FILE")]
    pub person_passphrase_file: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub struct Revoke {
    /// The firm's folder.
    #[arg(long, value_name = "DIR")]
    pub firm: PathBuf,
    /// The name of the person's files.
    #[arg(long, value_name = "PERSON")]
    pub id: PersonId,
    /// Why.
    #[arg(long, value_enum)]
    pub reason: ReasonName,
    /// Since when nothing that the key signed counts; now if not given.
    #[arg(long, value_name = "TIME", value_parser = parse_time)]
    pub since: Option<DateTime<Utc>>,
    #[command(flatten)]
    pub passphrase: PassphraseFrom,
}

#[derive(Debug, Args)]
pub struct Reckon {
    /// The inspection.
    #[arg(value_name = "INSPECTION")]
    pub inspection: PathBuf,
}

/// Where a document's pages go.
#[derive(Debug, Args)]
pub struct PagesOut {
    /// Also write it as a PDF to this file.
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Put the PDF in the place of a file that is there.
    #[arg(long, requires = "out")]
    pub replace: bool,
}

#[derive(Debug, Args)]
pub struct Ask {
    /// Who asks whom, and about which car.
    #[arg(value_name = "LETTER")]
    pub letter: PathBuf,
    #[command(flatten)]
    pub pages: PagesOut,
}

#[derive(Debug, Args)]
pub struct ReplyTo {
    /// What the letter was written from.
    #[arg(value_name = "LETTER")]
    pub letter: PathBuf,
    /// The reply, word for word, with what it was taken to say.
    #[arg(value_name = "REPLY")]
    pub reply: PathBuf,
    /// An inspection of the car, to hold the reply against its findings.
    #[arg(long, value_name = "FILE")]
    pub inspection: Option<PathBuf>,
    #[command(flatten)]
    pub pages: PagesOut,
}

#[derive(Debug, Args)]
pub struct Seal {
    /// The inspection.
    #[arg(value_name = "INSPECTION")]
    pub inspection: PathBuf,
    /// The folder with the original photographs; their names do not matter.
    #[arg(long, value_name = "DIR")]
    pub photographs: PathBuf,
    /// The firm's folder.
    #[arg(long, value_name = "DIR")]
    pub firm: PathBuf,
    /// Who signs: the name of the person's files.
    #[arg(long = "as", value_name = "PERSON")]
    pub person: PersonId,
    /// Where the report goes.
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
    /// Put the report in the place of a file that is there.
    #[arg(long)]
    pub replace: bool,
    /// The file with this device's row of records; beside the person's certificate if not given.
    #[arg(long, value_name = "FILE")]
    pub device: Option<PathBuf>,
    /// The digest of the record that this one replaces, 64 hexadecimal digits.
    #[arg(long, value_name = "DIGEST")]
    pub supersedes: Option<model::Sha256>,
    /// Where readers can have the report checked, as its pages print it.
    #[arg(long, value_name = "ADDRESS", value_parser = parse_line)]
    pub verify_at: Option<model::Line>,
    /// Leave out the progress.
    #[arg(long)]
    pub quiet: bool,
    #[command(flatten)]
    pub passphrase: PassphraseFrom,
}

#[derive(Debug, Args)]
pub struct State {
    /// What is stated.
    #[arg(value_name = "STATEMENT")]
    pub content: PathBuf,
    /// The inspector's sealed report that it rests on; it travels inside, unaltered.
    #[arg(long, value_name = "FILE")]
    pub report: Option<PathBuf>,
    /// Rest on a report that is not found genuine, or does not stand any more; page 1 says how it was found.
    #[arg(long, requires = "report")]
    pub although_unsound: bool,
    #[command(flatten)]
    pub trust: Brought,
    /// The firm's folder.
    #[arg(long, value_name = "DIR")]
    pub firm: PathBuf,
    /// Who signs: the name of the person's files.
    #[arg(long = "as", value_name = "PERSON")]
    pub person: PersonId,
    /// Where the statement goes.
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
    /// Put it in the place of a file that is there.
    #[arg(long)]
    pub replace: bool,
    /// The file with this device's row of records; beside the person's certificate if not given.
    #[arg(long, value_name = "FILE")]
    pub device: Option<PathBuf>,
    #[command(flatten)]
    pub passphrase: PassphraseFrom,
}

#[derive(Debug, Args)]
pub struct Show {
    /// A report (PDF) or a record (JSON).
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// The record's own bytes, as they were hashed.
    #[arg(long)]
    pub record: bool,
}

#[derive(Debug, Args)]
pub struct Withdraw {
    /// The report.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Why, in words for a reader.
    #[arg(long)]
    pub reason: String,
    /// The report in its place; without one the report is withdrawn.
    #[arg(long, value_name = "FILE")]
    pub superseded_by: Option<PathBuf>,
    /// The firm's folder.
    #[arg(long, value_name = "DIR")]
    pub firm: PathBuf,
    /// Who says so: the report's signer or somebody of the office.
    #[arg(long = "as", value_name = "PERSON")]
    pub person: PersonId,
    /// Where the statement goes; beside the report if not given.
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Put the statement in the place of a file that is there.
    #[arg(long)]
    pub replace: bool,
    #[command(flatten)]
    pub passphrase: PassphraseFrom,
}

#[derive(Debug, Args)]
pub struct AttachReceipt {
    /// The report; its file is replaced in one step.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// The receipt, as the log gave it.
    #[arg(long, value_name = "FILE")]
    pub receipt: PathBuf,
}

/// What a person may do.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum RoleName {
    /// Inspects and seals reports.
    Inspector,
    /// Answers with a condition statement.
    Dealer,
    /// Withdraws and supersedes.
    Office,
}

impl From<RoleName> for Role {
    fn from(role: RoleName) -> Self {
        match role {
            RoleName::Inspector => Self::Inspector,
            RoleName::Dealer => Self::Dealer,
            RoleName::Office => Self::Office,
        }
    }
}

/// Why a certificate is revoked.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum ReasonName {
    /// The key is or may be in other hands.
    KeyCompromised,
    /// The person works for another firm.
    OtherFirm,
    /// Replaced by a new certificate.
    Replaced,
    /// The person has stopped this work.
    Stopped,
    /// The right to sign was taken away.
    RightWithdrawn,
    /// Not said.
    NotSaid,
}

impl From<ReasonName> for Reason {
    fn from(reason: ReasonName) -> Self {
        match reason {
            ReasonName::KeyCompromised => Self::KeyCompromise,
            ReasonName::OtherFirm => Self::AffiliationChanged,
            ReasonName::Replaced => Self::Superseded,
            ReasonName::Stopped => Self::CessationOfOperation,
            ReasonName::RightWithdrawn => Self::PrivilegeWithdrawn,
            ReasonName::NotSaid => Self::Unspecified,
        }
    }
}

/// What a schema describes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum SchemaOf {
    /// What goes in.
    Inspection,
    /// What is frozen and sealed.
    Record,
    /// What a letter is written from.
    Letter,
    /// A reply to a letter.
    Reply,
    /// What a condition statement says.
    Statement,
}

fn parse_time(text: &str) -> Result<DateTime<Utc>, String> {
    let time = DateTime::parse_from_rfc3339(text).map(|time| time.to_utc());
    time.map_err(|error| format!("{error}; expected a time such as 2026-11-24T14:02:00+01:00"))
}

fn parse_line(text: &str) -> Result<model::Line, model::TextError> {
    model::Line::try_from(text)
}
