//! Sound, read piece by piece: what is kept of it is a few figures for each fiftieth of a second.

mod filter;
mod frame;
mod wav;

pub use filter::Biquad;
pub use frame::{BANDS, band_edges, friction_band};
pub use wav::{RATES_HZ, read_sound, wav_header};

/// What is kept of a sound recording. All levels are relative to full scale: a phone's microphone has no known gain.
#[derive(Debug, Clone, PartialEq)]
pub struct Sound {
    /// Samples a second.
    pub rate_hz: u32,
    /// Channels; their powers are averaged.
    pub channels: u16,
    /// Seconds from one frame to the next.
    pub hop_s: f64,
    /// The frames, the first one centred half a window after the start.
    pub frames: Vec<Frame>,
    /// Mean square in the friction band, [`ENVELOPE_HZ`] times a second.
    pub envelope: Vec<f32>,
    /// Length in s.
    pub length_s: f64,
}

/// How often the envelope of the friction band is kept, in Hz: fine enough for a modulation of 100 Hz.
pub const ENVELOPE_HZ: f64 = 400.0;

/// What is kept of a moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    /// Power in each band of a sixth of an octave, [`band_edges`].
    pub bands: [f32; BANDS],
    /// Power in the friction band.
    pub friction: f32,
    /// Spectral centroid of the friction band in Hz.
    pub centroid_hz: f32,
    /// Spectral flatness of the friction band: geometric by arithmetic mean of its power spectrum; 1 for one that is flat.
    pub flatness: f32,
    /// Second moment of the friction band's signal.
    pub second_moment: f32,
    /// Fourth moment of it.
    pub fourth_moment: f32,
    /// Power under 100 Hz, where wind is.
    pub rumble: f32,
    /// Share of samples at full scale.
    pub overloaded: f32,
}

impl Sound {
    /// The middle of a frame, in s from the start.
    pub fn time_s(&self, frame: usize) -> f64 {
        (frame as f64 + 1.0) * self.hop_s
    }

    /// The frame nearest to a time, if there is one.
    pub fn frame_at(&self, time_s: f64) -> Option<usize> {
        let nth = libm::round(time_s / self.hop_s - 1.0);
        (nth >= 0.0 && nth < self.frames.len() as f64).then_some(nth as usize)
    }
}
