//! What a reader checks, and what he brings along.

use std::path::PathBuf;

use chrono::{DateTime, Utc};
use clap::Args;

use super::parse_time;

/// What a reader brings along.
#[derive(Debug, Args)]
pub struct Brought {
    /// A root that you have compared with the firm; may be given several times.
    #[arg(long = "root", value_name = "FILE")]
    pub roots: Vec<PathBuf>,
    /// A revocation list of the firm; may be given several times.
    #[arg(long = "crl", value_name = "FILE")]
    pub revocation_lists: Vec<PathBuf>,
    /// The key of the firm's log, `name+id+key` on one line; may be given several times, with one root.
    #[arg(long = "log", value_name = "FILE")]
    pub logs: Vec<PathBuf>,
    /// The key of a witness of that log, `name+id+key` on one line; may be given several times. Those who have signed prove
    /// the time, which else is the log's own word.
    #[arg(long = "witness", value_name = "FILE")]
    pub witnesses: Vec<PathBuf>,
    /// How many of the witnesses must have signed; all of them if not given.
    #[arg(long, value_name = "NUMBER", requires = "witnesses")]
    pub witnesses_needed: Option<usize>,
    /// The certificate (PEM) of an authority for timestamps whose word you take, or of one above it; may be given several
    /// times. A timestamp in the report then proves the time.
    #[arg(long = "timestamp-authority", value_name = "FILE")]
    pub authorities: Vec<PathBuf>,
    /// A statement of the firm, such as a withdrawal; may be given several times.
    #[arg(long = "statement", value_name = "FILE")]
    pub statements: Vec<PathBuf>,
    /// The statements given are all that the firm had at this time, as the firm told you.
    #[arg(long, value_name = "TIME", value_parser = parse_time)]
    pub statements_complete: Option<DateTime<Utc>>,
}

#[derive(Debug, Args)]
pub struct Verify {
    /// The report.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    #[command(flatten)]
    pub trust: Brought,
    /// Exit with 2 if it is not known whether the report still stands.
    #[arg(long)]
    pub require_standing: bool,
    /// Leave the pages undrawn: quick, and at best "cannot be fully confirmed".
    #[arg(long)]
    pub signature_only: bool,
}
