//! WAV files, sample by sample.

use std::io::Read;

use hound::{SampleFormat, WavReader};

use super::{
    Sound,
    frame::{Framer, Window},
};
use crate::RecordingError;

/// Samples a second that a sound may have.
pub const RATES_HZ: std::ops::RangeInclusive<u32> = 8_000..=96_000;
/// Full scale is 1; floats that go further than this are no sound, and their powers no numbers.
const MOST_SAMPLE: f32 = 1000.0;
/// Three hours.
const MOST_S: u64 = 3 * 3600;

/// Counts what was read, so that an error can say where it is.
struct Counted<R> {
    inner: R,
    read: u64,
}

impl<R: Read> Read for Counted<R> {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        let read = self.inner.read(buffer)?;
        self.read += read as u64;
        Ok(read)
    }
}

/// The header of a WAV file of one channel in 16 bits that holds so many bytes of samples: what stands before a sound whose
/// length is known at its end alone.
pub fn wav_header(rate_hz: u32, sample_bytes: u64) -> [u8; 44] {
    let data = u32::try_from(sample_bytes).unwrap_or(u32::MAX - 36);
    let mut header = [0; 44];
    let mut put = |at: usize, bytes: &[u8]| header[at..at + bytes.len()].copy_from_slice(bytes);
    put(0, b"RIFF");
    put(4, &(data.saturating_add(36)).to_le_bytes());
    put(8, b"WAVEfmt ");
    put(16, &16_u32.to_le_bytes());
    put(20, &1_u16.to_le_bytes());
    put(22, &1_u16.to_le_bytes());
    put(24, &rate_hz.to_le_bytes());
    put(28, &(rate_hz.saturating_mul(2)).to_le_bytes());
    put(32, &2_u16.to_le_bytes());
    put(34, &16_u16.to_le_bytes());
    put(36, b"data");
    put(40, &data.to_le_bytes());
    header
}

/// Reads a WAV file: PCM with 16, 24 or 32 bits or 32-bit floats, one or two channels, 8 to 96 kHz.
///
/// # Errors
/// [`RecordingError`] with the byte: no WAV file, another coding, one that ends before its header says, a float that is
/// no number or far beyond full scale, silence from beginning to end, more than three hours.
pub fn read_sound(input: impl Read) -> Result<Sound, RecordingError> {
    let mut counted = Counted { inner: input, read: 0 };
    let refused =
        |byte: u64, got: String, expected: &str| RecordingError::Byte { byte, got, expected: expected.to_owned() };
    let (spec, expected) = match WavReader::new(&mut counted) {
        Ok(reader) => (reader.spec(), u64::from(reader.duration())),
        Err(error) => {
            return Err(refused(counted.read, error.to_string(), "a WAV file that says how its sound is coded"));
        }
    };
    let is_read = matches!(
        (spec.sample_format, spec.bits_per_sample),
        (SampleFormat::Int, 16 | 24 | 32) | (SampleFormat::Float, 32)
    );
    if !is_read || !(1..=2).contains(&spec.channels) || !RATES_HZ.contains(&spec.sample_rate) {
        let got = format!(
            "{} channels with {} bits ({:?}) at {} Hz",
            spec.channels, spec.bits_per_sample, spec.sample_format, spec.sample_rate
        );
        return Err(refused(
            counted.read,
            got,
            "one or two channels of 16, 24 or 32 bits or 32-bit floats at 8 to 96 kHz",
        ));
    }
    if expected > MOST_S * u64::from(spec.sample_rate) {
        return Err(RecordingError::TooLong { most: MOST_S, what: "seconds of sound" });
    }
    let start = counted.read;
    Stream { counted, spec, start, expected, done: 0, raw: Vec::new() }.run()
}

struct Stream<R> {
    counted: Counted<R>,
    spec: hound::WavSpec,
    /// Where the samples begin.
    start: u64,
    /// Frames of samples that the header promises.
    expected: u64,
    done: u64,
    raw: Vec<u8>,
}

impl<R: Read> Stream<R> {
    fn run(mut self) -> Result<Sound, RecordingError> {
        let mut framer = Framer::new(self.spec.sample_rate);
        let (length, hop) = (framer.length(), framer.hop());
        let mut left = vec![0.0_f32; length];
        let mut right = vec![0.0_f32; length];
        let is_stereo = self.spec.channels == 2;
        let (mut frames, mut envelope) = (Vec::new(), Vec::new());
        let mut is_silent = true;
        let mut is_first = true;
        while self.expected - self.done >= hop as u64 {
            left.copy_within(hop.., 0);
            right.copy_within(hop.., 0);
            self.fill(&mut left[length - hop..], &mut right[length - hop..])?;
            is_silent = is_silent && left[length - hop..].iter().all(|&value| value == 0.0);
            let window = |range: std::ops::Range<usize>| Window {
                left: &left[range.clone()],
                right: is_stereo.then(|| &right[range]),
            };
            if is_first {
                framer.begin(&window(length - hop..length), &mut envelope);
                is_first = false;
            } else {
                frames.push(framer.frame(&window(0..length), &mut envelope));
            }
        }
        let rate = f64::from(self.spec.sample_rate);
        let length_s = self.expected as f64 / rate;
        if frames.is_empty() {
            let got = format!("{length_s:.3} s of sound");
            return Err(RecordingError::TooShort { got, expected: "at least a second".to_owned() });
        }
        if is_silent {
            return Err(RecordingError::Implausible {
                what: "the sound",
                got: "silence from beginning to end".to_owned(),
                expected: "the sound of a drive; was the microphone allowed?",
            });
        }
        Ok(Sound {
            rate_hz: self.spec.sample_rate,
            channels: self.spec.channels,
            hop_s: hop as f64 / rate,
            frames,
            envelope,
            length_s,
        })
    }

    /// Reads as many samples as the lists are long.
    fn fill(&mut self, left: &mut [f32], right: &mut [f32]) -> Result<(), RecordingError> {
        let bytes = usize::from(self.spec.bits_per_sample / 8);
        let channels = usize::from(self.spec.channels);
        self.raw.resize(left.len() * bytes * channels, 0);
        let mut read = 0;
        while read < self.raw.len() {
            match self.counted.read(&mut self.raw[read..])? {
                0 => {
                    let there = self.done + (read / (bytes * channels)) as u64;
                    return Err(RecordingError::Byte {
                        byte: self.counted.read,
                        got: format!("the end of the file after {there} samples"),
                        expected: format!("{} samples, as its header says; was the recording cut off?", self.expected),
                    });
                }
                more => read += more,
            }
        }
        if bytes == 2 {
            // Nearly every recording: without a look at the coding for each sample.
            let value = |pair: &[u8]| f32::from(i16::from_le_bytes([pair[0], pair[1]])) / 32_768.0;
            for (nth, frame) in self.raw.chunks_exact(2 * channels).enumerate() {
                left[nth] = value(frame);
                right[nth] = value(&frame[2 * (channels - 1)..]);
            }
            self.done += left.len() as u64;
            return Ok(());
        }
        for (nth, frame) in self.raw.chunks_exact(bytes * channels).enumerate() {
            left[nth] = self.sample(&frame[..bytes], nth)?;
            if channels == 2 {
                right[nth] = self.sample(&frame[bytes..], nth)?;
            }
        }
        self.done += left.len() as u64;
        Ok(())
    }

    fn sample(&self, bytes: &[u8], nth: usize) -> Result<f32, RecordingError> {
        Ok(match *bytes {
            [a, b] => f32::from(i16::from_le_bytes([a, b])) / 32_768.0,
            [a, b, c] => (f64::from(i32::from_le_bytes([0, a, b, c])) / 2_147_483_648.0) as f32,
            [a, b, c, d] if self.spec.sample_format == SampleFormat::Int => {
                (f64::from(i32::from_le_bytes([a, b, c, d])) / 2_147_483_648.0) as f32
            }
            [a, b, c, d] => {
                let value = f32::from_le_bytes([a, b, c, d]);
                if !(-MOST_SAMPLE..=MOST_SAMPLE).contains(&value) {
                    let width = bytes.len() as u64 * u64::from(self.spec.channels);
                    return Err(RecordingError::Byte {
                        byte: self.start + (self.done + nth as u64) * width,
                        got: value.to_string(),
                        expected: "a sample that is a number, of full scale 1".to_owned(),
                    });
                }
                value
            }
            _ => 0.0,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_header_is_read_by_those_who_read_wav_files() {
        let samples: Vec<i16> = (0..4800).map(|nth| (nth * 37 % 20_000) as i16).collect();
        let mut file = wav_header(48_000, samples.len() as u64 * 2).to_vec();
        file.extend(samples.iter().flat_map(|sample| sample.to_le_bytes()));
        let mut reader = WavReader::new(&file[..]).expect("a WAV file");
        assert_eq!((reader.spec().channels, reader.spec().sample_rate, reader.spec().bits_per_sample), (1, 48_000, 16));
        let read: Vec<i16> = reader.samples::<i16>().map(|sample| sample.expect("a sample")).collect();
        assert_eq!(read, samples);
    }
}
