//! What asks for a timestamp.

use std::path::PathBuf;

use clap::{Args, Subcommand};

#[derive(Debug, Subcommand)]
pub enum TimestampCommand {
    /// Ask an authority for a timestamp over a report's signature, and put its answer into the report (RFC 3161). It sees a
    /// digest and nothing else; who it is, is not judged here.
    #[command(after_help = "Example:\n  rimside timestamp fetch report.pdf --authority https://stamps.example/tsa")]
    Fetch(FetchTimestamp),
    /// Write the question for a timestamp over a report's signature, to be sent to an authority (RFC 3161).
    #[command(
        after_help = "Example:\n  rimside timestamp request report.pdf --out question.tsq\n\nAn authority that listens on the web answers this:\n  curl -H 'Content-Type: application/timestamp-query' --data-binary @question.tsq ADDRESS > answer.tsr"
    )]
    Request(RequestTimestamp),
    /// Put an authority's answer into the report. No signed byte changes; who the authority is, is not judged.
    #[command(after_help = "Example:\n  rimside timestamp attach report.pdf --answer answer.tsr")]
    Attach(AttachTimestamp),
}

#[derive(Debug, Args)]
pub struct FetchTimestamp {
    /// The sealed report; its file is replaced in one step.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// The authority's address.
    #[arg(long, value_name = "ADDRESS")]
    pub authority: String,
}

#[derive(Debug, Args)]
pub struct RequestTimestamp {
    /// The sealed report.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// Where the question goes.
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
}

#[derive(Debug, Args)]
pub struct AttachTimestamp {
    /// The sealed report; its file is replaced in one step.
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// The answer, as the authority gave it.
    #[arg(long, value_name = "FILE")]
    pub answer: PathBuf,
}
