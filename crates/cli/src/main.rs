//! The command line `rimside`: turns arguments into one call of an operation, and its answer into text.
//!
//! Results go to standard output, progress and faults to standard error. It decides nothing.

mod answer;
mod arguments;
mod command;
mod passphrase;
mod progress;

use std::{
    io::{self, IsTerminal as _, Write as _},
    process::ExitCode,
};

use api::Fault;
use clap::{Parser as _, error::ErrorKind};

use answer::Answer;
use arguments::Arguments;

/// As in `sysexits.h`: the command was misspelt.
const USAGE: u8 = 64;
/// As in `sysexits.h`: something went wrong that is no verdict.
const FAULT: u8 = 70;

fn main() -> ExitCode {
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(refused) => return ExitCode::from(show_refused(&refused)),
    };
    let json = arguments.json;
    let code = match command::run(arguments) {
        Ok(answer) => show(&answer, json),
        Err(fault) => show_fault(&fault, json),
    };
    ExitCode::from(code)
}

/// Writes help, or what is wrong with the command.
fn show_refused(refused: &clap::Error) -> u8 {
    if matches!(refused.kind(), ErrorKind::DisplayHelp | ErrorKind::DisplayVersion) {
        // Nothing sensible is left to do when not even this can be written.
        let _ = refused.print();
        return 0;
    }
    // The arguments could not be read, so whether JSON was asked for can only be guessed.
    if std::env::args_os().any(|argument| argument == "--json") {
        let message = refused.render().to_string().trim_end().to_owned();
        show_fault(&Fault { code: "usage", message, hint: Some("see rimside --help".to_owned()) }, true);
    } else {
        let _ = refused.print();
    }
    USAGE
}

/// Writes the answer; its exit code, whether or not anybody was there to read it.
fn show(answer: &Answer, json: bool) -> u8 {
    match write_out(&answer.to_bytes(json)) {
        Ok(()) => answer.code,
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => answer.code,
        Err(error) => {
            let message = format!("the answer could not be written: {error}");
            let hint = Some("look whether the disk is full; what was asked for is done".to_owned());
            show_fault(&Fault { code: "output-failed", message, hint }, false)
        }
    }
}

fn write_out(bytes: &[u8]) -> io::Result<()> {
    let mut out = io::stdout().lock();
    out.write_all(bytes)?;
    out.flush()
}

fn show_fault(fault: &Fault, json: bool) -> u8 {
    if json {
        let text = serde_json::json!({ "fault": fault });
        // A reader that is gone does not make it worse.
        let _ = write_out(format!("{text:#}\n").as_bytes());
    } else {
        let mut err = io::stderr().lock();
        let (bold, plain) = if err.is_terminal() { ("\x1b[1m", "\x1b[0m") } else { ("", "") };
        let _ = writeln!(err, "{bold}rimside:{plain} {} [{}]", fault.message, fault.code);
        if let Some(hint) = &fault.hint {
            let _ = writeln!(err, "  what to do: {hint}");
        }
    }
    FAULT
}
