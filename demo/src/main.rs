//! Writes the invented scenario to disk: three visits with their photographs, or one large visit to measure with.
#![allow(clippy::print_stderr, reason = "a command-line tool reports its progress")]

use std::path::{Path, PathBuf};

use anyhow::{Context as _, Result};
use clap::{Parser, Subcommand};
use demo::{
    face::{self, Face},
    large::inspect_at_length,
    scenario::{DrawnPhotograph, RoadRecordings, inspect, letter, record, reply, statement, visits},
};
use model::Inspection;

/// Writes the invented scenario to disk.
#[derive(Parser)]
#[command(name = "rimside-demo")]
struct Arguments {
    #[command(subcommand)]
    what: What,
}

#[derive(Subcommand)]
enum What {
    /// The three visits, each a folder with its inspection, its photographs and the recordings of its road test; the buyer's letter, its reply,
    /// and what the dealer states.
    Write {
        /// The folder to write to; it is made where it is missing.
        folder: PathBuf,
        /// Width of the photographs in pixels, above the 1600 of a report so that copies are scaled; the height is
        /// three quarters of it.
        #[arg(long, default_value_t = 1_680, value_parser = clap::value_parser!(u32).range(16..=12_000))]
        width: u32,
    },
    /// The last visit with many large photographs, to measure with.
    WriteLarge {
        /// The folder to write to; it is made where it is missing.
        folder: PathBuf,
        /// How many photographs.
        #[arg(long)]
        photographs: usize,
        /// How many million pixels each.
        #[arg(long, default_value_t = 12.0)]
        megapixels: f64,
    },
}

fn main() -> Result<()> {
    match Arguments::parse().what {
        What::Write { folder, width } => {
            for visit in visits() {
                let (inspection, photographs) = inspect(&visit, (width, width * 3 / 4))?;
                write_visit(&folder.join(visit.folder), &inspection, &photographs)?;
                write_recordings(&folder.join(visit.folder).join("recordings"), &record(&visit))?;
            }
            write_references(&folder)?;
            write(&folder.join("letter.json"), serde_json::to_string_pretty(&letter()?)?.as_bytes())?;
            write(&folder.join("reply.json"), serde_json::to_string_pretty(&reply()?)?.as_bytes())?;
            write(&folder.join("statement.json"), serde_json::to_string_pretty(&statement()?)?.as_bytes())
        }
        What::WriteLarge { folder, photographs, megapixels } => {
            let (inspection, photographs) = inspect_at_length(photographs, megapixels)?;
            write_visit(&folder, &inspection, &photographs)
        }
    }
}

fn write_visit(folder: &Path, inspection: &Inspection, photographs: &[DrawnPhotograph]) -> Result<()> {
    let pictures = folder.join("photographs");
    std::fs::create_dir_all(&pictures).with_context(|| format!("{} cannot be made", pictures.display()))?;
    for photograph in photographs {
        let place = pictures.join(format!("{}.jpg", photograph.id()));
        write(&place, &photograph.bytes)?;
        if let Some(mark) = photograph.mark_json() {
            write(&PathBuf::from(format!("{}.mark.json", place.display())), mark.as_bytes())?;
        }
    }
    write(&folder.join("inspection.json"), serde_json::to_string_pretty(inspection)?.as_bytes())?;
    let megabytes = photographs.iter().map(|photograph| photograph.bytes.len()).sum::<usize>() as f64 / 1e6;
    eprintln!("{}: {} photographs, {megabytes:.1} MB", folder.display(), photographs.len());
    Ok(())
}

/// The generated references that faces are compared with.
fn write_references(folder: &Path) -> Result<()> {
    let references = folder.join("references");
    std::fs::create_dir_all(&references).with_context(|| format!("{} cannot be made", references.display()))?;
    let mut list = Vec::new();
    for (stage, name, drawn) in face::references() {
        write_face(&references.join(&name), &drawn)?;
        list.push(serde_json::json!({ "photograph": name, "stage": stage }));
    }
    let list = serde_json::json!({ "schema": "rimside.references/1", "references": list });
    write(&references.join("references.json"), format!("{list:#}\n").as_bytes())
}

fn write_face(place: &Path, face: &Face) -> Result<()> {
    let drawn = face::draw(face);
    write(place, &drawn.jpeg()?)?;
    write(&PathBuf::from(format!("{}.mark.json", place.display())), drawn.mark_json().as_bytes())
}

fn write_recordings(folder: &Path, recordings: &RoadRecordings) -> Result<()> {
    std::fs::create_dir_all(folder).with_context(|| format!("{} cannot be made", folder.display()))?;
    write(&folder.join("motion.csv"), recordings.motion.as_bytes())?;
    write(&folder.join("position.nmea"), recordings.position.as_bytes())?;
    write(&folder.join("sound.wav"), &recordings.sound)
}

fn write(path: &Path, bytes: &[u8]) -> Result<()> {
    std::fs::write(path, bytes).with_context(|| format!("{} cannot be written", path.display()))
}
