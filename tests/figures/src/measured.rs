//! A long recording and a large photograph: against the same in Python, against the bare transforms, against the bare
//! decoding; and what it takes to store a photograph.

use std::hint::black_box;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Instant;

use anyhow::{Context as _, Result, bail};
use api::{
    NativeWorld,
    door::{Door, InFolder},
    quietly,
};
use demo::{
    drive::{self, Hearing, Plan, Stop},
    face::{self, DIAMETER_MM, Face},
};
use photo::disc::{Ellipse, RingMark, decode_whole, read_face};
use road_test::{Recordings, analyse, read_motion, read_position_table, read_sound};
use rustfft::{FftPlanner, num_complex::Complex};

use crate::inside::cpu;
use crate::place::Place;
use crate::table::Table;

/// Stops of the measured drive: some twenty minutes.
const STOPS: usize = 30;
const SOUND_HZ: u32 = 48_000;
/// As `road_test` has it at 48 kHz.
const WINDOW: usize = 2048;

/// The files that are measured with.
pub struct Files {
    motion: PathBuf,
    position: PathBuf,
    sound: PathBuf,
    picture: PathBuf,
    mark: RingMark,
}

/// Generates what is missing.
pub fn prepare(place: &Place) -> Result<Files> {
    let folder = place.scratch.join("measured");
    std::fs::create_dir_all(&folder)?;
    let [motion, position, sound, picture] =
        ["motion.csv", "position.csv", "sound.wav", "disc.jpg"].map(|name| folder.join(name));
    if !sound.exists() {
        let stops = (0..STOPS).map(|nth| Stop::from(15.0 + (nth % 4) as f64 * 4.0, 3.0 + (nth % 5) as f64)).collect();
        let driven = drive::drive(&Plan { stops, rolling_s: 22.0, ..Plan::default() });
        std::fs::write(&motion, drive::motion_csv(&driven))?;
        std::fs::write(&position, drive::position_csv(&driven))?;
        let hearing = Hearing {
            rate_hz: SOUND_HZ,
            worn: 0.5,
            wind_db: -20.0,
            gain: 1.0,
            early_s: 0.0,
            seed: 1,
            circumference: 2.1,
        };
        let left = drive::hear(&driven, &hearing);
        let right: Vec<f32> = left.iter().rev().copied().collect();
        std::fs::write(&sound, drive::wav(SOUND_HZ, &[&left, &right]))?;
    }
    let drawn = face::draw(&Face { size: (400, 300), ..Face::default() });
    let scale = |points: [(f64, f64); 4]| points.map(|(x, y)| (x * 10.0, y * 10.0));
    let mark = RingMark {
        outer: Ellipse::through(scale(drawn.outer)),
        inner: Ellipse::through(scale(drawn.inner)),
        outer_diameter_mm: DIAMETER_MM,
    };
    if !picture.exists() {
        let large = face::draw(&Face { size: (4000, 3000), blur_px: 0.0, ..Face::default() });
        std::fs::write(&picture, large.jpeg()?)?;
        std::fs::write(folder.join("disc.jpg.mark.json"), large.mark_json())?;
    }
    Ok(Files { motion, position, sound, picture, mark })
}

/// Measures each once.
pub fn measure(place: &Place, files: &Files, table: &mut Table) -> Result<()> {
    let open = |file: &Path| std::fs::File::open(file).with_context(|| file.display().to_string());
    let mut frames = 0;
    table.add(
        "a drive of twenty minutes, whole",
        cpu(|| {
            let motion = read_motion(open(&files.motion)?)?;
            let position = read_position_table(open(&files.position)?)?;
            let sound = read_sound(std::io::BufReader::new(open(&files.sound)?))?;
            frames = sound.frames.len();
            let recordings = Recordings {
                motion: Some(&motion),
                position: Some(&position),
                sound: Some(&sound),
                ..Recordings::default()
            };
            Ok(analyse(recordings)?.seen.brakings.len())
        })?,
    );
    let fft = FftPlanner::<f64>::new().plan_fft_forward(WINDOW);
    let mut buffer: Vec<Complex<f64>> = (0..WINDOW).map(|nth| Complex::new((nth % 97) as f64, 0.0)).collect();
    let mut scratch = vec![Complex::default(); fft.get_inplace_scratch_len()];
    table.add(
        "its bare transforms",
        cpu(|| {
            for _ in 0..frames {
                fft.process_with_scratch(&mut buffer, &mut scratch);
                // Kept small, or the numbers run over.
                let norm = 1.0 / 64.0;
                for value in &mut buffer {
                    *value *= norm;
                }
            }
            Ok(black_box(buffer[3].re) as usize)
        })?,
    );
    let original = std::fs::read(&files.picture)?;
    table.add("decoding 12 megapixels", cpu(|| Ok(decode_whole(&original)?.as_raw().len()))?);
    table.add(
        "a face of 12 megapixels, whole",
        cpu(|| Ok(read_face(&decode_whole(&original)?, &files.mark, None)?.pattern.parts.len()))?,
    );
    let (drive, picture) = python(place, files)?;
    table.add("the same drive in Python", drive);
    table.add("the same face in Python", picture);
    table.add("storing a photograph of 5 MB, by the clock", store(place)?);
    Ok(())
}

/// The ratios, each with what it aims at.
pub fn rows(table: &Table) -> [(f64, &'static str, &'static str); 5] {
    [
        (
            table.median("the same drive in Python") / table.median("a drive of twenty minutes, whole"),
            "≥ 3",
            "a drive of twenty minutes in Python / here",
        ),
        (
            table.median("a drive of twenty minutes, whole") / table.median("its bare transforms"),
            "≤ 4",
            "the drive / the bare transforms of its sound",
        ),
        (
            table.median("the same face in Python") / table.median("a face of 12 megapixels, whole"),
            "≥ 3",
            "a face of 12 megapixels in Python / here",
        ),
        (
            table.median("a face of 12 megapixels, whole") / table.median("decoding 12 megapixels"),
            "≤ 3",
            "the face / decoding its photograph",
        ),
        (
            table.median("storing a photograph of 5 MB, by the clock") / 0.150,
            "≤ 1",
            "storing a photograph of 5 MB / 150 ms",
        ),
    ]
}

fn python(place: &Place, files: &Files) -> Result<(f64, f64)> {
    let ellipse =
        |one: &Ellipse| format!("{},{},{},{},{}", one.centre.0, one.centre.1, one.axes.0, one.axes.1, one.turn);
    let output = Command::new(&place.python)
        .arg(place.top.join("tests/outside/measured.py"))
        .args([&files.motion, &files.position, &files.sound, &files.picture])
        .args([ellipse(&files.mark.outer), ellipse(&files.mark.inner), files.mark.outer_diameter_mm.to_string()])
        .output()?;
    if !output.status.success() {
        bail!("tests/outside/measured.py: {}", String::from_utf8_lossy(&output.stderr));
    }
    let said = String::from_utf8_lossy(&output.stdout);
    let mut seconds = said.split_whitespace().map(str::parse::<f64>);
    Ok((seconds.next().context("no figure")??, seconds.next().context("no figure")??))
}

/// Seconds by the clock from the bytes to the stored entry, with its copy and its small picture.
fn store(place: &Place) -> Result<f64> {
    let folder = tempfile::tempdir_in(&place.scratch)?;
    let told = |fault: api::Fault| anyhow::anyhow!(fault.message);
    let door = Door::open(Box::new(InFolder(folder.path().to_owned())), Box::new(NativeWorld)).map_err(told)?;
    let begin = r#"{"op":"begin","vin":null,"registration":"PMW-0417-Q","at":"2026-11-24T09:10:00+01:00"}"#;
    let begun = door.call(begin, &[], &quietly).map_err(told)?;
    let photographs = place.large.join("photographs");
    let mut originals: Vec<PathBuf> =
        std::fs::read_dir(photographs)?.map(|one| Ok(one?.path())).collect::<Result<_>>()?;
    originals.sort();
    let mut bytes = std::fs::read(originals.first().context("no photograph")?)?;
    // A camera's comment makes it 5 MB: what is behind the picture is stored as well.
    bytes.resize(bytes.len().max(5_000_000), 0);
    let request = format!(
        r#"{{"op":"photograph","inspection":{},"subject":{{"of":"car"}},"taken":"imported","taken_at":null}}"#,
        begun.answer["id"]
    );
    let start = Instant::now();
    door.call(&request, &bytes, &quietly).map_err(told)?;
    Ok(start.elapsed().as_secs_f64())
}
