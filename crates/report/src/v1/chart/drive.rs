//! A recorded drive as a drawing: speed, deceleration and sound on one axis of time, then what comes with the wheel's turns.
//! A bar with a number over the time tells the brakings.

use model::{MeasuredDrive, Order, Pulsation};

use crate::v1::{
    face::Face,
    flow::{Block, Flow, WIDTH},
    ink::Ink,
    mark::{Mark, Pen, Place, Step},
    text::Style,
    tree::NodeId,
    words,
};

/// A line through points, x to the right and y down.
#[derive(Debug, Clone, PartialEq)]
pub struct Stroke {
    /// The points.
    pub points: Vec<(f64, f64)>,
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
pub struct Lettering {
    /// Where.
    pub at: (f64, f64),
    /// What of it stands there.
    pub anchor: Anchor,
    /// What it says.
    pub text: String,
}

/// The drawing, in units of its own.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct DrivePlot {
    /// Width and height.
    pub size: (f64, f64),
    /// Lines.
    pub strokes: Vec<Stroke>,
    /// Texts, all of one size.
    pub lettering: Vec<Lettering>,
    /// The drawing in words.
    pub description: String,
}

/// Size of the letters.
pub const LETTERS: f64 = 8.0;
const LEFT: f64 = 40.0;
const PANEL: f64 = 74.0;
const HEAD: f64 = 15.0;
const FOOT: f64 = 24.0;
const BARS: f64 = 20.0;

/// A panel: its place, its scales.
struct Panel {
    top: f64,
    across: (f64, f64),
    up: (f64, f64),
}

impl Panel {
    fn at(&self, across: f64, up: f64) -> (f64, f64) {
        let share = |value: f64, (from, to): (f64, f64)| ((value - from) / (to - from).max(1e-9)).clamp(0.0, 1.0);
        (LEFT + share(across, self.across) * (WIDTH - LEFT), self.top + PANEL * (1.0 - share(up, self.up)))
    }

    fn draw(&self, plot: &mut DrivePlot, title: &str) {
        let bottom = self.top + PANEL;
        plot.line(vec![(LEFT, self.top), (LEFT, bottom), (WIDTH, bottom)], 0.6);
        plot.write((LEFT, self.top - 4.0), Anchor::Start, title);
        for value in ticks(self.up, 3.0) {
            let (_, y) = self.at(self.across.0, value);
            plot.line(vec![(LEFT - 3.0, y), (LEFT, y)], 0.6);
            plot.write((LEFT - 5.0, y + 3.0), Anchor::End, &figure(value));
        }
    }

    fn draw_foot(&self, plot: &mut DrivePlot, unit: &str) {
        let bottom = self.top + PANEL;
        for value in ticks(self.across, 7.0) {
            let (x, _) = self.at(value, self.up.0);
            plot.line(vec![(x, bottom), (x, bottom + 3.0)], 0.6);
            plot.write((x, bottom + 12.0), Anchor::Middle, &figure(value));
        }
        plot.write((WIDTH, bottom + 22.0), Anchor::End, unit);
    }
}

impl DrivePlot {
    /// Draws a drive.
    pub fn of(drive: &MeasuredDrive) -> Self {
        let trace = &drive.trace;
        let count = trace.speed_km_h.len();
        let mut plot = Self { description: describe(drive), ..Self::default() };
        let time_of = |nth: usize| trace.from_s + (nth as f64 + 0.5) * trace.step_s;
        let across = (trace.from_s, trace.from_s + count as f64 * trace.step_s);
        let mut top = BARS + HEAD;
        let mut panel = |up: (f64, f64)| {
            let panel = Panel { top, across, up };
            top += PANEL + HEAD;
            panel
        };
        let fastest = trace.speed_km_h.iter().copied().fold(10.0, f64::max);
        let speed = panel((0.0, fastest * 1.05));
        let hardest = trace.greatest_m_per_s2.iter().copied().fold(3.0, f64::max);
        let least = trace.least_m_per_s2.iter().copied().fold(-1.0, f64::min);
        let deceleration = panel((least * 1.05, hardest * 1.05));
        plot.brakings(drive, &speed);
        speed.draw(&mut plot, "speed in km/h");
        plot.line((0..count).map(|nth| speed.at(time_of(nth), trace.speed_km_h[nth])).collect(), 1.0);
        deceleration.draw(&mut plot, "deceleration in m/s²");
        let (start, end) = (deceleration.at(across.0, 0.0), deceleration.at(across.1, 0.0));
        plot.strokes.push(Stroke { points: vec![start, end], width: 0.4, dashed: true });
        let both = trace.least_m_per_s2.iter().zip(&trace.greatest_m_per_s2).enumerate();
        let outline =
            both.flat_map(|(nth, (&low, &high))| [low, high].map(|value| deceleration.at(time_of(nth), value)));
        plot.line(outline.collect(), 0.6);
        let mut last = deceleration;
        if trace.sound_db.iter().any(Option::is_some) {
            let known = || trace.sound_db.iter().flatten().copied();
            let (low, high) = (known().fold(f64::INFINITY, f64::min), known().fold(f64::NEG_INFINITY, f64::max));
            let level = panel((low - 2.0, high + 2.0));
            level.draw(&mut plot, "sound from 1 to 6 kHz in dB under full scale");
            let steps: Vec<(usize, f64)> =
                trace.sound_db.iter().enumerate().filter_map(|(nth, level)| Some((nth, (*level)?))).collect();
            for run in steps.chunk_by(|one, next| next.0 == one.0 + 1) {
                plot.line(run.iter().map(|&(nth, db)| level.at(time_of(nth), db)).collect(), 0.8);
            }
            last = level;
        }
        last.draw_foot(&mut plot, "seconds");
        let mut height = last.top + PANEL + FOOT;
        if let Some(seen) = drive.pulsation.as_ref().filter(|seen| !seen.spectrum.is_empty()) {
            height = plot.orders(seen, height + HEAD);
        }
        plot.size = (WIDTH, height);
        plot
    }

    fn line(&mut self, points: Vec<(f64, f64)>, width: f64) {
        self.strokes.push(Stroke { points, width, dashed: false });
    }

    fn write(&mut self, at: (f64, f64), anchor: Anchor, text: &str) {
        self.lettering.push(Lettering { at, anchor, text: text.to_owned() });
    }

    /// A bar with a number for each braking.
    fn brakings(&mut self, drive: &MeasuredDrive, panel: &Panel) {
        let mut free = f64::NEG_INFINITY;
        for (nth, one) in drive.brakings.iter().enumerate() {
            let (from, to) = (panel.at(one.from_s, 0.0).0, panel.at(one.to_s, 0.0).0);
            self.line(vec![(from, BARS - 8.0), (to.max(from + 1.0), BARS - 8.0)], 3.0);
            // A number that would stand on the one before is left out: the bars are counted from the left.
            if from > free {
                self.write((from, BARS - 12.0), Anchor::Start, &(nth + 1).to_string());
                free = from + 12.0;
            }
        }
        if !drive.brakings.is_empty() {
            self.write((LEFT - 5.0, BARS - 5.0), Anchor::End, "braking");
        }
    }

    fn orders(&mut self, seen: &Pulsation, top: f64) -> f64 {
        let amplitudes = seen.spectrum.iter().map(|(_, amplitude)| *amplitude);
        let floors = seen.orders.iter().map(|order| order.floor_m_per_s2);
        let strongest = amplitudes.chain(floors).fold(0.05, f64::max);
        let (first, last) = seen
            .spectrum
            .iter()
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), &(order, _)| (low.min(order), high.max(order)));
        let panel = Panel { top, across: (first, last), up: (0.0, strongest * 1.1) };
        panel.draw(self, "while braking, what comes so many times in a turn of the wheel: amplitude in m/s²");
        let mut spectrum = seen.spectrum.clone();
        spectrum.sort_by(|one, other| one.0.total_cmp(&other.0));
        self.line(spectrum.into_iter().map(|(order, amplitude)| panel.at(order, amplitude)).collect(), 0.9);
        if let (Some(lowest), Some(highest)) = (seen.orders.first(), seen.orders.last()) {
            let between = seen.orders.iter().map(|order| (f64::from(order.order), order.floor_m_per_s2));
            let ends = [(first, lowest.floor_m_per_s2), (last, highest.floor_m_per_s2)];
            let floor = ends[..1].iter().copied().chain(between).chain(ends[1..].iter().copied());
            let points = floor.map(|(order, floor)| panel.at(order, floor)).collect();
            self.strokes.push(Stroke { points, width: 0.6, dashed: true });
            let (_, y) = panel.at(last, highest.floor_m_per_s2);
            self.write((WIDTH, y - 3.0), Anchor::End, "from here up an amplitude is told to a tenth");
        }
        panel.draw_foot(self, "times a turn");
        top + PANEL + FOOT
    }
}

/// Sets the drawing on a page, with its words for who does not see it.
pub(crate) fn set_drive(flow: &mut Flow<'_>, section: NodeId, drive: &MeasuredDrive) {
    const LETTERING: Style = Style::new(Face::Regular, LETTERS, Ink::Grey);
    let plot = DrivePlot::of(drive);
    let figure = flow.tree.add_figure(section, plot.description);
    let mut block = Block { height: plot.size.1, ..Block::default() };
    for Stroke { points, width, dashed } in plot.strokes {
        let steps = points.into_iter().enumerate().map(|(nth, (x, y))| {
            let place = Place { x, y };
            if nth == 0 { Step::Move(place) } else { Step::Line(place) }
        });
        let pen = Pen { ink: Ink::Black, width, dash: dashed.then_some(2.4) };
        block.put(Mark::Path { steps: steps.collect(), fill: None, pen: Some(pen) }, Some(figure));
    }
    for Lettering { at: (x, y), anchor, text } in plot.lettering {
        let width = flow.typeface.measure(&text, LETTERING.face, LETTERING.size);
        let x = match anchor {
            Anchor::Start => x,
            Anchor::Middle => x - width / 2.0,
            Anchor::End => x - width,
        };
        block.put(Mark::Text { at: Place { x, y }, width, text, style: LETTERING }, Some(figure));
    }
    flow.put(block);
}

fn describe(drive: &MeasuredDrive) -> String {
    let fastest = drive.trace.speed_km_h.iter().copied().fold(0.0, f64::max);
    let hardest = drive.brakings.iter().map(|one| one.peak_m_per_s2.value).fold(0.0, f64::max);
    let told: Vec<&str> = drive
        .pulsation
        .iter()
        .flat_map(|seen| &seen.orders)
        .filter(|order| order.is_told())
        .map(Order::words)
        .collect();
    let pulses = match (told.is_empty(), drive.pulsation.is_some()) {
        (false, _) => format!("; while braking it pulses {} a turn of the wheel", told.join(" and ")),
        (true, true) => "; no pulsation stands out of noise".to_owned(),
        (true, false) => String::new(),
    };
    format!(
        "The recorded drive over {} s: speed up to {} km/h, {} brakings, the hardest with {} m/s²{pulses}",
        words::number(drive.length_s, 0),
        words::number(fastest, 0),
        drive.brakings.len(),
        words::number(hardest, 1),
    )
}

/// Some round values of a range.
fn ticks((from, to): (f64, f64), about: f64) -> Vec<f64> {
    let step = nice((to - from) / about);
    let first = libm::ceil(from / step - 1e-9);
    (0..24).map(|nth| (first + f64::from(nth)) * step).take_while(|value| *value <= to + step * 1e-6).collect()
}

/// 1, 2 or 5 times a power of ten.
fn nice(step: f64) -> f64 {
    let power = libm::pow(10.0, libm::floor(libm::log10(step.max(1e-9))));
    let share = step / power;
    power
        * [(1.5, 1.0), (3.5, 2.0), (7.5, 5.0)].iter().find(|(most, _)| share < *most).map_or(10.0, |(_, round)| *round)
}

fn figure(value: f64) -> String {
    let rounded = libm::round(value * 100.0) / 100.0;
    format!("{}", if rounded == 0.0 { 0.0 } else { rounded }).replace('-', "\u{2212}")
}
