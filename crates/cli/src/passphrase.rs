//! Where passphrases come from: the terminal, a file, or standard input. Never an argument, never the environment.

use std::{
    io::{self, Read as _},
    path::Path,
};

use api::{Fault, Passphrase};
use zeroize::Zeroizing;

/// No passphrase is longer.
const MOST_BYTES: u64 = 4096;

/// The passphrase of a key that exists.
pub fn ask(of: &str, file: Option<&Path>) -> Result<Passphrase, Fault> {
    match file {
        Some(file) => read(file),
        None => prompt(&format!("Passphrase of {of}: ")).map(Passphrase::from),
    }
}

/// A passphrase for a new key; on the terminal it is asked for twice.
pub fn choose(of: &str, file: Option<&Path>) -> Result<Passphrase, Fault> {
    if let Some(file) = file {
        return read(file);
    }
    let first = Zeroizing::new(prompt(&format!("New passphrase for {of}: "))?);
    let again = Zeroizing::new(prompt("The same again: ")?);
    if first != again {
        let message = "the two passphrases differ".to_owned();
        return Err(Fault { code: "passphrases-differ", message, hint: Some("try again".to_owned()) });
    }
    Ok(Passphrase::from(first.to_string()))
}

fn prompt(question: &str) -> Result<String, Fault> {
    rpassword::prompt_password(question).map_err(|error| Fault {
        code: "no-passphrase",
        message: format!("there is no terminal on which to ask for the passphrase: {error}"),
        hint: Some("give it with --passphrase-file FILE, or - for standard input".to_owned()),
    })
}

/// The first line.
fn read(file: &Path) -> Result<Passphrase, Fault> {
    let read_line = || -> io::Result<String> {
        let mut line = String::new();
        if file == Path::new("-") {
            io::BufRead::read_line(&mut io::stdin().lock().take(MOST_BYTES), &mut line)?;
        } else {
            // Whole and at once: no buffer of its own keeps a copy.
            line.reserve(MOST_BYTES as usize);
            std::fs::File::open(file)?.take(MOST_BYTES).read_to_string(&mut line)?;
        }
        Ok(line)
    };
    let mut line = read_line().map_err(|error| Fault {
        code: "no-passphrase",
        message: format!("the passphrase could not be read from {}: {error}", file.display()),
        hint: Some("name a file that you may read with it on its first line, or - for standard input".to_owned()),
    })?;
    line.truncate(line.find(['\r', '\n']).unwrap_or(line.len()));
    Ok(Passphrase::from(line))
}
