//! Writes the invented scenario to disk: three visits with their photographs, or one large visit to measure with.
#![allow(clippy::print_stderr, reason = "a command-line tool reports its progress")]

mod large;

use std::path::{Path, PathBuf};

use anyhow::{Context as _, Result, bail};
use demo::scenario::{DrawnPhotograph, inspect, visits};
use model::Inspection;

const HELP: &str = "\
rimside-demo write DIR                                    the three visits
rimside-demo write-large DIR PHOTOGRAPHS MEGAPIXELS       one visit with many photographs";

/// As a phone's camera at a modest setting.
const SIZE: (u32, u32) = (1_600, 1_200);

fn main() -> Result<()> {
    let arguments: Vec<_> = std::env::args().skip(1).collect();
    match arguments.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        ["write", folder] => write_visits(Path::new(folder)),
        ["write-large", folder, photographs, megapixels] => {
            large::write_large(Path::new(folder), photographs.parse()?, megapixels.parse()?)
        }
        _ => bail!("expected one of\n{HELP}"),
    }
}

fn write_visits(folder: &Path) -> Result<()> {
    for visit in visits() {
        let (inspection, photographs) = inspect(&visit, SIZE)?;
        let place = folder.join(visit.folder);
        write_visit(&place, &inspection, &photographs)?;
        eprintln!("{}: {} photographs", place.display(), photographs.len());
    }
    Ok(())
}

fn write_visit(folder: &Path, inspection: &Inspection, photographs: &[DrawnPhotograph]) -> Result<()> {
    let pictures = folder.join("photographs");
    std::fs::create_dir_all(&pictures).with_context(|| format!("{} cannot be made", pictures.display()))?;
    for photograph in photographs {
        write(pictures.join(format!("{}.jpg", photograph.id)), &photograph.bytes)?;
    }
    write(folder.join("inspection.json"), serde_json::to_string_pretty(inspection)?.as_bytes())
}

fn write(path: PathBuf, bytes: &[u8]) -> Result<()> {
    std::fs::write(&path, bytes).with_context(|| format!("{} cannot be written", path.display()))
}
