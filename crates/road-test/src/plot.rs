//! The drive as drawings: speed, deceleration and orders as vectors, sound as a picture, all on one axis of time.

use image::{GrayImage, ImageFormat, Luma};

use crate::{BANDS, Drive, Sound};

/// A point: x to the right, y down.
pub type Point = (f64, f64);

/// A line through points.
#[derive(Debug, Clone, PartialEq)]
pub struct Stroke {
    /// The points.
    pub points: Vec<Point>,
    /// Its width.
    pub width: f64,
    /// Whether it is dashed.
    pub dashed: bool,
}

/// Which part of a text stands at its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// Its beginning.
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

/// A text on its baseline.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    /// Where.
    pub at: Point,
    /// What of it stands there.
    pub anchor: Anchor,
    /// Its size.
    pub size: f64,
    /// What it says.
    pub text: String,
}

/// A drawing in units of its own.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Plot {
    /// Width and height.
    pub size: Point,
    /// Shaded areas, under everything else.
    pub areas: Vec<Vec<Point>>,
    /// Lines.
    pub strokes: Vec<Stroke>,
    /// Letters.
    pub labels: Vec<Label>,
}

impl Plot {
    fn draw(&mut self, points: Vec<Point>, width: f64) {
        self.strokes.push(Stroke { points, width, dashed: false });
    }

    fn write(&mut self, at: Point, anchor: Anchor, size: f64, text: impl Into<String>) {
        self.labels.push(Label { at, anchor, size, text: text.into() });
    }
}

const WIDTH: f64 = 480.0;
const LEFT: f64 = 46.0;
const RIGHT: f64 = 470.0;
const PANEL: f64 = 96.0;
const GAP: f64 = 26.0;
const POINTS: usize = 600;

/// A panel: its place, its scale, its name.
struct Panel {
    top: f64,
    time: (f64, f64),
    value: (f64, f64),
}

impl Panel {
    fn at(&self, time: f64, value: f64) -> (f64, f64) {
        let x = LEFT + (time - self.time.0) / (self.time.1 - self.time.0) * (RIGHT - LEFT);
        let share = (value - self.value.0) / (self.value.1 - self.value.0);
        (x, self.top + PANEL * (1.0 - share.clamp(0.0, 1.0)))
    }

    fn draw(&self, plot: &mut Plot, title: &str) {
        let frame = [(LEFT, self.top), (LEFT, self.top + PANEL), (RIGHT, self.top + PANEL)];
        plot.draw(frame.to_vec(), 0.6);
        plot.write((LEFT, self.top - 4.0), Anchor::Start, 9.0, title);
        let step = nice((self.value.1 - self.value.0) / 3.0);
        let mut value = libm::ceil(self.value.0 / step) * step;
        while value <= self.value.1 + step * 1e-6 {
            let (_, y) = self.at(self.time.0, value);
            plot.draw(vec![(LEFT - 3.0, y), (LEFT, y)], 0.6);
            plot.write((LEFT - 5.0, y + 3.0), Anchor::End, 8.0, figure(value));
            value += step;
        }
    }

    fn ticks(&self, plot: &mut Plot, unit: &str) {
        let step = nice((self.time.1 - self.time.0) / 6.0);
        let mut time = libm::ceil(self.time.0 / step) * step;
        while time <= self.time.1 + step * 1e-6 {
            let (x, y) = self.at(time, self.value.0);
            plot.draw(vec![(x, y), (x, y + 3.0)], 0.6);
            plot.write((x, y + 12.0), Anchor::Middle, 8.0, figure(time));
            time += step;
        }
        plot.write((RIGHT, self.top + PANEL + 22.0), Anchor::End, 8.0, unit);
    }
}

fn figure(value: f64) -> String {
    let rounded = libm::round(value * 100.0) / 100.0;
    format!("{}", if rounded == 0.0 { 0.0 } else { rounded }).replace('-', "\u{2212}")
}

/// 1, 2 or 5 times a power of ten.
fn nice(step: f64) -> f64 {
    let power = libm::pow(10.0, libm::floor(libm::log10(step.max(1e-9))));
    let share = step / power;
    power
        * if share < 1.5 {
            1.0
        } else if share < 3.5 {
            2.0
        } else if share < 7.5 {
            5.0
        } else {
            10.0
        }
}

/// Speed, deceleration and the friction band's level over time, brakings shaded; then the spectrum over orders.
pub fn plot_drive(drive: &Drive, motion_time_s: &[f64], sound: Option<&Sound>) -> Plot {
    let track = &drive.track;
    let time = (track.time_s[0], track.time_s[track.time_s.len() - 1]);
    let has_sound = sound.is_some() && drive.seen.sound.is_some();
    let mut plot = Plot::default();
    let mut top = 16.0;
    let mut panel = |value: (f64, f64)| {
        let panel = Panel { top, time, value };
        top += PANEL + GAP;
        panel
    };
    let fastest = track.speed.iter().copied().fold(1.0, f64::max) * 3.6;
    let speed = panel((0.0, fastest * 1.05));
    let hardest = drive.seen.brakings.iter().map(|one| one.braking.peak_m_per_s2.value).fold(3.0, f64::max);
    let deceleration = panel((-0.4 * hardest, hardest * 1.1));
    let level = has_sound.then(|| panel((-80.0, 0.0)));
    for one in &drive.seen.brakings {
        let last = level.as_ref().map_or(&deceleration, |panel| panel);
        let (x0, _) = speed.at(one.braking.from_s, 0.0);
        let (x1, _) = speed.at(one.braking.to_s, 0.0);
        let (y0, y1) = (speed.top, last.top + PANEL);
        plot.areas.push(vec![(x0, y0), (x1, y0), (x1, y1), (x0, y1)]);
    }
    speed.draw(&mut plot, "speed in km/h");
    let step = (track.time_s.len() / POINTS).max(1);
    let points = (0..track.time_s.len()).step_by(step).map(|nth| speed.at(track.time_s[nth], track.speed[nth] * 3.6));
    plot.draw(points.collect(), 1.0);
    deceleration.draw(&mut plot, "deceleration in m/s²");
    plot.draw(outline(motion_time_s, &drive.acceleration, &deceleration), 0.7);
    if let (Some(sound), Some(seen), Some(level)) = (sound, &drive.seen.sound, &level) {
        level.draw(&mut plot, "sound of the friction band in dB under full scale");
        let step = (sound.frames.len() / POINTS).max(1);
        let points = sound.frames.chunks(step).enumerate().map(|(nth, frames)| {
            let power = frames.iter().map(|frame| f64::from(frame.friction)).sum::<f64>() / frames.len() as f64;
            level.at(sound.time_s(nth * step) + seen.shift_s, 10.0 * libm::log10(power.max(1e-9)))
        });
        let inside = points.filter(|(x, _)| (LEFT..=RIGHT).contains(x)).collect();
        plot.draw(inside, 0.8);
    }
    level.as_ref().unwrap_or(&deceleration).ticks(&mut plot, "seconds");
    if let Some(seen) = &drive.seen.pulsation {
        let strongest = seen.spectrum.iter().map(|(_, amplitude)| *amplitude).fold(0.05, f64::max);
        let panel = Panel { top: top + 10.0, time: (0.5, 4.5), value: (0.0, strongest * 1.15) };
        panel.draw(&mut plot, "amplitude in m/s² over periods a turn of the wheel, while braking");
        let points = seen.spectrum.iter().map(|&(order, amplitude)| panel.at(order, amplitude)).collect();
        plot.draw(points, 1.0);
        if let Some(floor) = seen.orders.first().map(|order| order.floor_m_per_s2) {
            let points = vec![panel.at(0.5, floor), panel.at(4.5, floor)];
            plot.strokes.push(Stroke { points, width: 0.6, dashed: true });
        }
        panel.ticks(&mut plot, "periods a turn");
        top += PANEL + GAP + 10.0;
    }
    plot.size = (WIDTH, top + 4.0);
    plot
}

/// Least and greatest of each column of points, so that no peak is lost between them.
fn outline(time_s: &[f64], acceleration: &[f64], panel: &Panel) -> Vec<(f64, f64)> {
    let step = (time_s.len() / POINTS).max(1);
    let mut points = Vec::new();
    for nth in (0..time_s.len().min(acceleration.len())).step_by(step) {
        let end = (nth + step).min(acceleration.len());
        let chunk = &acceleration[nth..end];
        let (low, high) = chunk
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), &value| (low.min(-value), high.max(-value)));
        points.push(panel.at(time_s[nth], low));
        points.push(panel.at(time_s[nth], high));
    }
    points
}

/// The drawing as SVG 2.
pub fn to_svg(plot: &Plot) -> String {
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {:.0} {:.0}\" font-family=\"sans-serif\">\n",
        plot.size.0, plot.size.1
    );
    for area in &plot.areas {
        svg += &format!("<path d=\"{}Z\" fill=\"#e4e2dc\"/>\n", path(area));
    }
    for Stroke { points, width, dashed } in &plot.strokes {
        let dash = if *dashed { " stroke-dasharray=\"3 2\"" } else { "" };
        let d = path(points);
        svg += &format!("<path d=\"{d}\" fill=\"none\" stroke=\"#1c1c1a\" stroke-width=\"{width}\"{dash}/>\n");
    }
    for Label { at: (x, y), anchor, size, text } in &plot.labels {
        let anchor = match anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        svg +=
            &format!("<text x=\"{x:.1}\" y=\"{y:.1}\" font-size=\"{size}\" text-anchor=\"{anchor}\">{text}</text>\n");
    }
    svg + "</svg>\n"
}

fn path(points: &[Point]) -> String {
    let step = |(nth, (x, y)): (usize, &Point)| format!("{}{x:.1} {y:.1}", if nth == 0 { "M" } else { "L" });
    points.iter().enumerate().map(step).collect()
}

/// Rows of the picture for each band.
const ROWS: u32 = 6;
const MOST_COLUMNS: usize = 1200;
/// Loudest and quietest that are told apart, in dB under full scale.
const RANGE_DB: (f64, f64) = (-20.0, -95.0);

/// The spectrogram as a picture (PNG): time to the right, a sixth of an octave for every six rows with the lowest at the
/// bottom, dark where it is loud.
///
/// # Panics
/// Never: a picture in memory can be written.
pub fn spectrogram_png(sound: &Sound) -> Vec<u8> {
    let columns = sound.frames.len().min(MOST_COLUMNS);
    let mut picture = GrayImage::new(columns as u32, BANDS as u32 * ROWS);
    for column in 0..columns {
        let from = column * sound.frames.len() / columns;
        let to = ((column + 1) * sound.frames.len() / columns).max(from + 1);
        for band in 0..BANDS {
            let power = sound.frames[from..to].iter().map(|frame| f64::from(frame.bands[band])).sum::<f64>()
                / (to - from) as f64;
            let share = (10.0 * libm::log10(power.max(1e-12)) - RANGE_DB.1) / (RANGE_DB.0 - RANGE_DB.1);
            let shade = Luma([(255.0 * (1.0 - share.clamp(0.0, 1.0))) as u8]);
            for row in 0..ROWS {
                picture.put_pixel(column as u32, (BANDS - 1 - band) as u32 * ROWS + row, shade);
            }
        }
    }
    let mut bytes = std::io::Cursor::new(Vec::new());
    picture.write_to(&mut bytes, ImageFormat::Png).expect("a picture in memory can be written");
    bytes.into_inner()
}
