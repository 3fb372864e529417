//! Generated drives: what a phone in a car, a satellite receiver and a microphone would have recorded of stops whose
//! truth is known. No recording of real brakes is to be had, so everything that uses these says that they are generated.
//!
//! The generator knows nothing of the analysis, and adds what no analysis assumes: bias and drift of the sensor, slopes,
//! pitch, potholes, gear changes, a receiver's delay, wind.

mod chance;
mod hear;
mod write;

pub use chance::Chance;
pub use hear::{Hearing, hear};
pub use write::{gpx, motion_csv, nmea, position_csv, wav};

use std::f64::consts::PI;

/// A stop as it is driven.
#[derive(Debug, Clone, Copy)]
pub struct Stop {
    /// Speed at which the brake is touched, in m/s.
    pub from_m_per_s: f64,
    /// Deceleration that is reached, in m/s².
    pub deceleration: f64,
    /// Time in which it grows, in s.
    pub rise_s: f64,
    /// Speed at which the brake is let go; 0 for a stop.
    pub to_m_per_s: f64,
    /// The anti-lock works, with this many cycles a second and this swing in m/s².
    pub anti_lock: Option<(f64, f64)>,
    /// What each turn of the wheel adds, in m/s²: once a turn, twice a turn.
    pub pulsation: [f64; 2],
}

impl Stop {
    /// An ordinary stop.
    pub const fn from(from_m_per_s: f64, deceleration: f64) -> Self {
        Self { from_m_per_s, deceleration, rise_s: 0.35, to_m_per_s: 0.0, anti_lock: None, pulsation: [0.0; 2] }
    }
}

/// A drive to be generated.
#[derive(Debug, Clone)]
pub struct Plan {
    /// Seeds everything that is left to chance.
    pub seed: u64,
    /// The stops in their order.
    pub stops: Vec<Stop>,
    /// Rows of motion a second.
    pub rate_hz: f64,
    /// How unevenly they come, as a share of the step.
    pub jitter: f64,
    /// Chance for each stop that some tenths of a second of motion are missing shortly before it.
    pub gaps: f64,
    /// Turns of the phone's mount about its three axes, in radians.
    pub mount: [f64; 3],
    /// Noise of the sensor in m/s².
    pub noise: f64,
    /// Constant error of each axis of the sensor in m/s².
    pub bias: f64,
    /// What the road shakes at 20 m/s, in m/s².
    pub rough: f64,
    /// Potholes a second.
    pub potholes: f64,
    /// Largest slope of the road: rise by way.
    pub slope: f64,
    /// Pitch of the body in radians for each m/s².
    pub pitch: f64,
    /// Rolling circumference in m.
    pub circumference: f64,
    /// Delay of the receiver in s, its noise in m/s, fixes a second, and the chance that a fix is missing.
    pub receiver: Receiver,
    /// Seconds of rolling before each stop.
    pub rolling_s: f64,
}

/// A satellite receiver.
#[derive(Debug, Clone, Copy)]
pub struct Receiver {
    /// Its speeds come so much late, in s.
    pub delay_s: f64,
    /// Noise of a speed in m/s.
    pub noise: f64,
    /// Fixes a second.
    pub rate_hz: f64,
    /// Chance that a fix is missing.
    pub missing: f64,
    /// Its clock's first second.
    pub epoch_s: f64,
}

impl Default for Plan {
    fn default() -> Self {
        Self {
            seed: 1,
            stops: Vec::new(),
            rate_hz: 100.0,
            jitter: 0.1,
            gaps: 0.0,
            mount: [0.3, -0.2, 0.9],
            noise: 0.03,
            bias: 0.08,
            rough: 0.25,
            potholes: 0.05,
            slope: 0.02,
            pitch: 0.0035,
            circumference: 2.1,
            receiver: Receiver { delay_s: 0.4, noise: 0.08, rate_hz: 1.0, missing: 0.0, epoch_s: 1_795_600_000.0 },
            rolling_s: 4.0,
        }
    }
}

/// What is true of a stop.
#[derive(Debug, Clone, Copy)]
pub struct Truth {
    /// When the brake was touched and when it was let go or the car stood, in s.
    pub from_s: f64,
    /// When it ended.
    pub to_s: f64,
    /// Speed at the beginning in m/s.
    pub entry_m_per_s: f64,
    /// Mean fully developed deceleration in m/s²; none where the stop did not go that far.
    pub mean_fully_developed: Option<f64>,
    /// As it was planned.
    pub stop: Stop,
}

/// The state of the car at a moment.
#[derive(Debug, Clone, Copy, Default)]
pub struct Moment {
    /// Speed in m/s.
    pub speed: f64,
    /// Acceleration in m/s².
    pub acceleration: f64,
    /// Way in m.
    pub way: f64,
    /// How hard the brake is applied, in m/s².
    pub brake: f64,
}

/// A generated drive.
#[derive(Debug, Clone)]
pub struct Generated {
    /// Rows of motion: seconds, and the force along the phone's three axes in m/s².
    pub rows: Vec<(f64, [f64; 3])>,
    /// Fixes: seconds by the receiver's clock, speed in m/s, way in m.
    pub fixes: Vec<(f64, f64, f64)>,
    /// What is true of each stop.
    pub truths: Vec<Truth>,
    /// The car, [`FINE_HZ`] times a second.
    pub moments: Vec<Moment>,
}

/// Moments a second.
pub const FINE_HZ: f64 = 1000.0;
const GRAVITY: f64 = 9.806_65;

/// Drives as planned.
pub fn drive(plan: &Plan) -> Generated {
    let mut chance = Chance::new(plan.seed);
    let (moments, truths) = go(plan, &mut chance);
    let rows = feel(plan, &moments, &truths, &mut chance);
    let fixes = watch(plan, &moments, &mut chance);
    Generated { rows, fixes, truths, moments }
}

/// The car under way, a thousandth of a second at a time.
#[derive(Default)]
struct Car {
    now: Moment,
    moments: Vec<Moment>,
}

impl Car {
    fn step(&mut self, acceleration: f64, brake: f64) {
        let dt = 1.0 / FINE_HZ;
        let before = self.now.speed;
        self.now.speed = (before + acceleration * dt).max(0.0);
        self.now.acceleration = (self.now.speed - before) / dt;
        self.now.way += (before + self.now.speed) / 2.0 * dt;
        self.now.brake = brake;
        self.moments.push(self.now);
    }

    fn go_on(&mut self, seconds: f64) {
        for _ in 0..(seconds * FINE_HZ) as usize {
            self.step(0.0, 0.0);
        }
    }

    fn speed_up(&mut self, goal: f64, chance: &mut Chance) {
        let mut gear_s = 0.0;
        let mut pull = 0.0;
        while self.now.speed < goal {
            let wanted = (3.2 - 0.05 * self.now.speed).max(0.8);
            // A change of gear: no pull for some tenths of a second.
            let is_changing = gear_s > 2.2;
            if gear_s > 2.2 + 0.35 {
                gear_s = chance.unit() * 0.5;
            }
            pull += ((if is_changing { -0.2 } else { wanted }) - pull) * 0.008;
            self.step(pull, 0.0);
            gear_s += 1.0 / FINE_HZ;
        }
        // The foot comes off the pedal, not in no time.
        for _ in 0..400 {
            pull *= 0.992;
            self.step(pull, 0.0);
        }
    }

    /// Brakes as planned; answers how hard the brake was applied at the end.
    fn brake(&mut self, stop: &Stop, circumference: f64, phase: f64) -> f64 {
        let dt = 1.0 / FINE_HZ;
        let (mut applied, mut time) = (0.0, 0.0);
        while self.now.speed > stop.to_m_per_s && time < 40.0 {
            let goal = stop.deceleration * (1.0 + 0.03 * libm::sin(1.7 * time + phase));
            applied += (goal - applied) * (dt / (stop.rise_s / 2.3)).min(1.0);
            let mut brake = applied;
            if let Some((cycles, swing)) = stop.anti_lock
                && time > stop.rise_s
                && self.now.speed > 2.0
            {
                brake += swing * release(cycles * (1.0 + 0.15 * libm::sin(0.9 * time)) * time);
            }
            let turn = 2.0 * PI * self.now.way / circumference + phase;
            let share = applied / stop.deceleration;
            brake += share * (stop.pulsation[0] * libm::cos(turn) + stop.pulsation[1] * libm::cos(2.0 * turn + 0.7));
            self.step(-brake, applied);
            time += dt;
        }
        applied
    }
}

/// The car's way through the plan.
fn go(plan: &Plan, chance: &mut Chance) -> (Vec<Moment>, Vec<Truth>) {
    let mut car = Car::default();
    let mut truths = Vec::new();
    car.go_on(3.0);
    for stop in &plan.stops {
        car.speed_up(stop.from_m_per_s * 1.02 + 0.1, chance);
        // Rolls, a little slower all the time, as with a foot just off.
        let coast = (car.now.speed - stop.from_m_per_s) / plan.rolling_s;
        while car.now.speed > stop.from_m_per_s {
            car.step(-coast.max(0.02), 0.0);
        }
        let from = car.moments.len();
        let applied = car.brake(stop, plan.circumference, chance.unit() * 2.0 * PI);
        truths.push(tell(&car.moments, from, car.moments.len() - 1, stop));
        if stop.to_m_per_s > 0.0 {
            // The foot leaves the brake in a tenth of a second.
            for nth in 0..100 {
                car.step(-applied * (1.0 - f64::from(nth) / 100.0), 0.0);
            }
        } else {
            car.go_on(2.5);
        }
    }
    car.go_on(2.0);
    (car.moments, truths)
}

/// The brake lets go fast and takes hold slowly: minus a half to a half, as a saw that is rounded.
fn release(cycles: f64) -> f64 {
    let share = cycles - libm::floor(cycles);
    if share < 0.3 { 0.5 - share / 0.3 } else { -0.5 + (share - 0.3) / 0.7 }
}

/// The mean fully developed deceleration from the true way and speed.
fn tell(moments: &[Moment], from: usize, to: usize, stop: &Stop) -> Truth {
    let entry = moments[from - 1];
    let below = |share: f64| moments[from..=to].iter().find(|one| one.speed <= share * entry.speed);
    let developed = below(0.8).zip(below(0.1)).map(|(early, late)| {
        let kmh = |speed: f64| speed * 3.6;
        (kmh(early.speed) * kmh(early.speed) - kmh(late.speed) * kmh(late.speed)) / (25.92 * (late.way - early.way))
    });
    Truth {
        from_s: from as f64 / FINE_HZ,
        to_s: to as f64 / FINE_HZ,
        entry_m_per_s: entry.speed,
        mean_fully_developed: developed,
        stop: *stop,
    }
}

/// What the phone's sensor says.
fn feel(plan: &Plan, moments: &[Moment], truths: &[Truth], chance: &mut Chance) -> Vec<(f64, [f64; 3])> {
    let rotation = turn(plan.mount);
    let bias: [f64; 3] = std::array::from_fn(|_| plan.bias * chance.normal());
    let drift: [f64; 3] = std::array::from_fn(|_| plan.bias / 400.0 * chance.normal());
    let (slope_phase, bend_phase) = (chance.unit() * 2.0 * PI, chance.unit() * 2.0 * PI);
    let gaps: Vec<(f64, f64)> = truths
        .iter()
        .filter(|_| chance.unit() < plan.gaps)
        .map(|truth| (truth.from_s - 1.5, truth.from_s - 1.5 + 0.4))
        .collect();
    let length = moments.len() as f64 / FINE_HZ;
    let mut rows = Vec::new();
    let mut body = Body::default();
    let mut shakes = Shakes::default();
    let (mut time, mut at) = (0.002, 0);
    while time < length - 0.01 {
        let goal = (time * FINE_HZ) as usize;
        while at < goal {
            body.step(moments[at].acceleration * plan.pitch);
            shakes.step(chance, moments[at].speed, plan);
            at += 1;
        }
        let now = moments[at];
        let slope = plan.slope * libm::sin(now.way / 180.0 + slope_phase);
        let pitch = slope + body.pitch;
        let sideways = 0.02 * now.speed * libm::sin(now.way / 90.0 + bend_phase);
        // In the car's axes: forwards, to the left, upwards.
        let car = [
            now.acceleration * libm::cos(body.pitch) + GRAVITY * libm::sin(pitch) + shakes.along,
            sideways + shakes.across,
            GRAVITY * libm::cos(pitch) - now.acceleration * libm::sin(body.pitch) + shakes.up,
        ];
        let force = std::array::from_fn(|axis| {
            let turned: f64 = (0..3).map(|other| rotation[axis][other] * car[other]).sum();
            turned + bias[axis] + drift[axis] * time + plan.noise * chance.normal()
        });
        if !gaps.iter().any(|(from, to)| (*from..*to).contains(&time)) {
            rows.push((time, force));
        }
        time += (1.0 + plan.jitter * (chance.unit() - 0.5) * 2.0) / plan.rate_hz;
    }
    rows
}

/// The body on its springs: it follows the acceleration like a damped mass at 1.4 Hz.
#[derive(Default)]
struct Body {
    pitch: f64,
    rate: f64,
}

impl Body {
    fn step(&mut self, goal: f64) {
        let own = 2.0 * PI * 1.4;
        let pull = own * own * (goal - self.pitch) - 2.0 * 0.45 * own * self.rate;
        self.rate += pull / FINE_HZ;
        self.pitch += self.rate / FINE_HZ;
    }
}

/// What road and engine shake: noise through the springs, and potholes.
#[derive(Default)]
struct Shakes {
    along: f64,
    across: f64,
    up: f64,
    slow: [f64; 3],
    pothole: f64,
    since: f64,
}

impl Shakes {
    fn step(&mut self, chance: &mut Chance, speed: f64, plan: &Plan) {
        let strength = plan.rough * libm::sqrt(speed / 20.0);
        // A low-pass at some 12 Hz leaves white noise of a thousandth of a second this much smaller.
        let keep = libm::exp(-2.0 * PI * 12.0 / FINE_HZ);
        let drive = libm::sqrt(1.0 - keep * keep);
        for value in &mut self.slow {
            *value = *value * keep + drive * chance.normal();
        }
        if speed > 1.0 && chance.unit() < plan.potholes / FINE_HZ {
            (self.pothole, self.since) = (1.0 + 3.0 * chance.unit(), 0.0);
        }
        self.since += 1.0 / FINE_HZ;
        let blow = self.pothole * libm::exp(-self.since / 0.06) * libm::sin(2.0 * PI * 11.0 * self.since);
        self.along = 0.35 * strength * self.slow[0] + 0.4 * blow;
        self.across = 0.5 * strength * self.slow[1] + 0.3 * blow;
        self.up = 2.0 * strength * self.slow[2] + 2.0 * blow;
    }
}

/// What the receiver says.
fn watch(plan: &Plan, moments: &[Moment], chance: &mut Chance) -> Vec<(f64, f64, f64)> {
    let Receiver { delay_s, noise, rate_hz, missing, epoch_s } = plan.receiver;
    let length = moments.len() as f64 / FINE_HZ;
    let mut fixes = Vec::new();
    let mut slow = 0.0;
    let mut time = 0.3 + chance.unit() * 0.5;
    while time < length {
        let seen = moments[(((time - delay_s).max(0.0)) * FINE_HZ) as usize];
        // Part of the error stays for some fixes.
        slow = 0.7 * slow + 0.7 * noise * chance.normal() * 0.7;
        let speed = (seen.speed + slow + 0.7 * noise * chance.normal()).max(0.0);
        let speed = if seen.speed < 0.2 { (0.05 * chance.normal()).max(0.0) } else { speed };
        if chance.unit() >= missing {
            fixes.push((epoch_s + time, speed, seen.way));
        }
        time += 1.0 / rate_hz;
    }
    fixes
}

/// The rotation by three angles about x, y and z in turn.
fn turn([a, b, c]: [f64; 3]) -> [[f64; 3]; 3] {
    let ((sa, ca), (sb, cb), (sc, cc)) = (libm::sincos(a), libm::sincos(b), libm::sincos(c));
    [
        [cc * cb, cc * sb * sa - sc * ca, cc * sb * ca + sc * sa],
        [sc * cb, sc * sb * sa + cc * ca, sc * sb * ca - cc * sa],
        [-sb, cb * sa, cb * ca],
    ]
}
