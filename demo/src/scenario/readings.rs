//! What the instruments showed: the truth with each instrument's own small errors, the same at every run.

use model::{CornerName, FaceName, Measurand, PadName, Timestamp, Unit, WhichBrake};
use serde_json::{Value, json};

use super::{
    car::{MARKED_POINTS, disc},
    clock::Clock,
    findings::name,
    state::{CornerState, Reach},
    visit::Visit,
};

/// An instrument of the firm: name, serial number, month and day of its yearly calibration, standard uncertainty.
struct Instrument {
    name: &'static str,
    serial: &'static str,
    calibrated: &'static str,
    uncertainty: f64,
}

const SCALE: Instrument =
    Instrument { name: "Bench scale, 15 kg, 1 g", serial: "SC-1107", calibrated: "09-14", uncertainty: 3.0 };
const MICROMETER: Instrument =
    Instrument { name: "Disc micrometer, 0.01 mm", serial: "MM-0215", calibrated: "06-02", uncertainty: 0.02 };
const ELECTRICAL: Instrument =
    Instrument { name: "Electrical disc tester", serial: "ET-0009", calibrated: "03-30", uncertainty: 0.5 };
const DIAL: Instrument =
    Instrument { name: "Dial gauge on a magnetic foot", serial: "DG-0077", calibrated: "06-02", uncertainty: 0.005 };
const LINING: Instrument =
    Instrument { name: "Lining depth gauge", serial: "LG-0140", calibrated: "06-02", uncertainty: 0.15 };
const BOILING: Instrument =
    Instrument { name: "Boiling-point tester", serial: "BP-0032", calibrated: "05-04", uncertainty: 3.0 };
const ROLLER: Instrument =
    Instrument { name: "Roller brake tester, bay 2", serial: "RT-0003", calibrated: "08-18", uncertainty: 40.0 };

/// The sheet that readings are taken down on.
struct Sheet<'a> {
    visit: &'a Visit,
    readings: Vec<Value>,
}

/// All readings of a visit that began at this time.
pub(super) fn readings(visit: &Visit, began_at: Timestamp) -> Vec<Value> {
    let clock = Clock::new(began_at);
    let mut sheet = Sheet { visit, readings: Vec::new() };
    let fluid = vec![("reservoir".to_owned(), visit.fluid_c)];
    sheet.write("fluid", Measurand::FluidBoilingPoint, Unit::Celsius, &BOILING, fluid, clock.fluid());
    for (corner, state) in visit.corners.iter() {
        let mut times = clock.readings_at(corner);
        sheet.take_corner(corner, state, || times.next_entry());
    }
    for (corner, state) in visit.corners.iter() {
        let mut times = clock.rollers_at(corner);
        sheet.take_forces(corner, state, || times.next_entry());
    }
    sheet.readings
}

impl Sheet<'_> {
    fn write(
        &mut self,
        id: &str,
        of: Measurand,
        unit: Unit,
        by: &Instrument,
        points: Vec<(String, f64)>,
        at: Timestamp,
    ) {
        let points: Vec<_> = points.into_iter().map(|(at, value)| json!({ "at": at, "value": value })).collect();
        let year = &self.visit.day[..4];
        self.readings.push(json!({
            "id": id, "of": of, "unit": unit, "points": points, "uncertainty": by.uncertainty,
            "instrument": {
                "name": by.name, "serial": by.serial, "calibrated_on": format!("{year}-{}", by.calibrated)
            },
            "taken_at": at
        }));
    }

    fn take_corner(&mut self, corner: CornerName, state: &CornerState, mut now: impl FnMut() -> Timestamp) {
        for pad in PadName::ALL.iter().copied().filter(|&pad| state.reaches_pad(pad)) {
            let points = self.lining(corner, pad, state);
            let id = name(corner, &format!("{}-lining", pad.words()));
            self.write(&id, Measurand::Lining { corner, pad }, Unit::Millimetre, &LINING, points, now());
        }
        if state.reach == Reach::WheelOn {
            return;
        }
        for &face in FaceName::ALL {
            let mm = 0.024 + 0.034 * state.heat + 0.014 * state.face_wear(face);
            let points = vec![("10 mm from the edge".to_owned(), round(mm, 1_000.0))];
            let id = name(corner, &format!("{}-runout", face.words()));
            self.write(&id, Measurand::Runout { corner, face }, Unit::Millimetre, &DIAL, points, now());
        }
        let data = disc(corner);
        let mm = data.new_thickness_mm - state.bulk_wear * (data.new_thickness_mm - data.minimum_thickness_mm);
        let points: Vec<_> = [12, 3, 6, 9]
            .iter()
            .enumerate()
            .map(|(point, hour)| (format!("{hour} o'clock"), round(mm + 0.015 * self.error(corner, point), 100.0)))
            .collect();
        let id = name(corner, "thickness");
        self.write(&id, Measurand::DiscThickness { corner }, Unit::Millimetre, &MICROMETER, points, now());
        let mm = 0.009 + 0.026 * state.bulk_wear * state.heat.max(0.2);
        let points = vec![("once round".to_owned(), round(mm, 1_000.0))];
        let id = name(corner, "variation");
        self.write(&id, Measurand::ThicknessVariation { corner }, Unit::Millimetre, &DIAL, points, now());
        for &face in FaceName::ALL {
            let points = self.electrical(corner, face, state);
            let id = name(corner, &format!("{}-electrical", face.words()));
            self.write(&id, Measurand::Electrical { corner, face }, Unit::Division, &ELECTRICAL, points, now());
        }
        if state.reach == Reach::DiscOff {
            let grams = data.new_mass_g - state.bulk_wear * (data.new_mass_g - data.minimum_mass_g);
            let points = (0..3)
                .map(|n| (format!("weighing {}", n + 1), (grams + 2.0 * self.error(corner, n)).round()))
                .collect();
            self.write(&name(corner, "mass"), Measurand::DiscMass { corner }, Unit::Gram, &SCALE, points, now());
        }
    }

    fn take_forces(&mut self, corner: CornerName, state: &CornerState, mut now: impl FnMut() -> Timestamp) {
        let Some((service_n, parking_n)) = state.force_n else { return };
        for (brake, force_n, what) in
            [(WhichBrake::Service, Some(service_n), "force"), (WhichBrake::Parking, parking_n, "parking-force")]
        {
            let Some(force_n) = force_n else { continue };
            let points = vec![("highest".to_owned(), force_n)];
            let of = Measurand::BrakeForce { corner, brake };
            self.write(&name(corner, what), of, Unit::Newton, &ROLLER, points, now());
        }
    }

    fn lining(&self, corner: CornerName, pad: PadName, state: &CornerState) -> Vec<(String, f64)> {
        let (middle_mm, taper_mm) = state.lining(pad);
        let slip = 0.05 * self.error(corner, 1);
        [("leading end", -taper_mm / 2.0), ("middle", 0.0), ("trailing end", taper_mm / 2.0)]
            .map(|(at, offset)| (at.to_owned(), round(middle_mm + offset + slip, 10.0)))
            .into()
    }

    /// The tester sees a few millimetres deep: mostly the ring, a little of the face.
    fn electrical(&self, corner: CornerName, face: FaceName, state: &CornerState) -> Vec<(String, f64)> {
        let data = disc(corner);
        let wear = 0.75 * state.bulk_wear + 0.25 * state.face_wear(face);
        MARKED_POINTS
            .iter()
            .enumerate()
            .map(|(point, at)| {
                let reading = data.new_reading[point] - wear * (data.new_reading[point] - data.reading_limit[point]);
                ((*at).to_owned(), round(reading + 0.3 * self.error(corner, point + face as usize), 10.0))
            })
            .collect()
    }

    /// A small error that belongs to this visit, corner and point: between −1 and 1.
    fn error(&self, corner: CornerName, point: usize) -> f64 {
        const ERRORS: [f64; 12] = [0.4, -0.7, 0.2, -0.3, 0.8, -0.1, 0.5, -0.6, 0.1, 0.7, -0.4, -0.2];
        let visit = self.visit.odometer_km as usize / 1_000;
        ERRORS[(corner as usize * 5 + point * 3 + visit * 7) % ERRORS.len()]
    }
}

fn round(value: f64, steps_a_unit: f64) -> f64 {
    (value * steps_a_unit).round() / steps_a_unit
}
