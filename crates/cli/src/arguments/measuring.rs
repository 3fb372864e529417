//! What reads photographs and recordings.

use std::path::PathBuf;

use api::model::TyreSize;
use clap::Args;

#[derive(Debug, Args)]
pub struct Photo {
    /// The photographs; the second is compared with the first.
    #[arg(value_name = "FILE", required = true)]
    pub files: Vec<PathBuf>,
    /// A list of references whose stage is known, their photographs beside it.
    #[arg(long, value_name = "FILE")]
    pub references: Option<PathBuf>,
    /// The folder for the unrolled rings.
    #[arg(long, value_name = "DIR")]
    pub plots: Option<PathBuf>,
    /// An inspection that lists these photographs: what they show is put into it.
    #[arg(long, value_name = "INSPECTION")]
    pub into: Option<PathBuf>,
    /// Put pictures in the place of files that are there.
    #[arg(long)]
    pub replace: bool,
}

#[derive(Debug, Args)]
pub struct Recording {
    /// The recordings of one drive: a log of motion, and beside it a log of position and a sound.
    #[arg(value_name = "FILE", required = true)]
    pub files: Vec<PathBuf>,
    /// The front axle's tyres, as in 245/35R20.
    #[arg(long, value_name = "SIZE", value_parser = parse_tyre)]
    pub front_tyre: Option<TyreSize>,
    /// The rear axle's tyres.
    #[arg(long, value_name = "SIZE", value_parser = parse_tyre)]
    pub rear_tyre: Option<TyreSize>,
    /// The speed from which stops were to be made, in km/h: slower ones give no mean fully developed deceleration.
    #[arg(long, value_name = "KM_H")]
    pub from_km_h: Option<f64>,
    /// The folder for plots.
    #[arg(long, value_name = "DIR")]
    pub plots: Option<PathBuf>,
    /// An inspection: what they show is put into its road test. Its tyres count where none are given.
    #[arg(long, value_name = "INSPECTION")]
    pub into: Option<PathBuf>,
    /// Put plots in the place of files that are there.
    #[arg(long)]
    pub replace: bool,
}

/// `245/35R20`, also with blanks and in small letters.
fn parse_tyre(text: &str) -> Result<TyreSize, String> {
    let plain: String = text.chars().filter(|letter| !letter.is_whitespace()).collect::<String>().to_ascii_uppercase();
    let parts = plain.split_once('/').and_then(|(width, rest)| Some((width, rest.split_once('R')?)));
    let read = parts.and_then(|(width, (aspect, rim))| {
        Some(TyreSize {
            width_mm: width.parse().ok().filter(|width| (100..=500).contains(width))?,
            aspect_percent: aspect.parse().ok().filter(|aspect| (15..=100).contains(aspect))?,
            rim_in: rim.parse().ok().filter(|rim| (8..=30).contains(rim))?,
        })
    });
    read.ok_or_else(|| "expected a size as in 245/35R20".to_owned())
}
