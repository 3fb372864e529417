//! Recordings, each taken for what its beginning says that it is, wherever its bytes come from.

use std::io::{self, BufReader, Read};

use model::{Line, MeasuredDrive, TyreSize};
use road_test::{
    Drive, Motion, Position, RecordingError, Recordings, Sound, analyse, read_gpx, read_motion, read_nmea,
    read_position_table, read_sound,
};

use super::AnalyseRecordingError;

/// What was read so far, each with its name.
#[derive(Default)]
pub(crate) struct Gathered {
    motion: Option<(String, Motion)>,
    position: Option<(String, Position)>,
    sound: Option<(String, Sound)>,
}

/// Enough of a recording to tell what it is.
const HEAD: u64 = 512;

impl Gathered {
    /// Reads a recording; what it was taken for comes back. A sound is read piece by piece.
    pub(crate) fn read(&mut self, name: &str, input: impl Read) -> Result<&'static str, AnalyseRecordingError> {
        let refused = |cause| AnalyseRecordingError::File { file: name.to_owned(), cause };
        let mut input = BufReader::new(input);
        let mut head = Vec::new();
        input.by_ref().take(HEAD).read_to_end(&mut head).map_err(|cause| refused(RecordingError::from(cause)))?;
        let input = Read::chain(io::Cursor::new(head.clone()), input);
        let text = String::from_utf8_lossy(&head);
        let text = text.trim_start_matches('\u{feff}').trim_start();
        let first_line = text.lines().find(|line| !line.starts_with('#')).unwrap_or_default().to_ascii_lowercase();
        let is_motion = first_line.split(',').any(|column| matches!(column.trim(), "ax" | "ax_m_s2" | "ax_g" | "x"));
        if head.starts_with(b"RIFF") {
            put(&mut self.sound, name, read_sound(input).map_err(refused)?, "a sound")
        } else if text.starts_with('<') {
            put(&mut self.position, name, read_gpx(input).map_err(refused)?, "a log of position (GPX)")
        } else if text.starts_with('$') {
            put(&mut self.position, name, read_nmea(input).map_err(refused)?, "a log of position (NMEA 0183)")
        } else if is_motion {
            put(&mut self.motion, name, read_motion(input).map_err(refused)?, "a log of motion")
        } else {
            put(&mut self.position, name, read_position_table(input).map_err(refused)?, "a log of position")
        }
    }

    /// The sound, where there is one.
    pub(crate) fn sound(&self) -> Option<&Sound> {
        self.sound.as_ref().map(|(_, sound)| sound)
    }

    /// Measures the drive. Figures come as a record keeps them.
    pub(crate) fn measure(
        &self,
        wheels: [Option<TyreSize>; 2],
        prescribed_km_h: Option<f64>,
    ) -> Result<MeasuredDrive, AnalyseRecordingError> {
        let Drive { seen, .. } = analyse(Recordings {
            motion: self.motion.as_ref().map(|(_, motion)| motion),
            position: self.position.as_ref().map(|(_, position)| position),
            sound: self.sound(),
            wheels,
            prescribed_m_per_s: prescribed_km_h.map(|speed| speed / 3.6),
        })
        .map_err(AnalyseRecordingError::Drive)?;
        model::cut_figures(&seen).map_err(AnalyseRecordingError::Figures)
    }
}

fn put<T>(
    place: &mut Option<(String, T)>,
    name: &str,
    read: T,
    is: &'static str,
) -> Result<&'static str, AnalyseRecordingError> {
    if let Some((first, _)) = place {
        return Err(AnalyseRecordingError::Twice { first: first.clone(), second: name.to_owned(), is });
    }
    *place = Some((name.to_owned(), read));
    Ok(is)
}

/// How a record calls a recording: what it is, and the name of its file where that fits on a line.
pub(crate) fn describe(is: &str, name: &str) -> Line {
    let plain = is.trim_start_matches("a ").to_owned();
    let named = Line::try_from(format!("{plain}, {name}")).or_else(|_| Line::try_from(plain));
    named.expect("the words for a kind of recording fit on a line")
}
