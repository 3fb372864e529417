//! Drives as chance has them.

use demo::drive::{Chance, Plan, Receiver, Stop};

/// A drive of four stops.
pub fn draw(number: u64) -> Plan {
    let mut chance = Chance::new(number * 7 + 3);
    // A disc of uneven thickness pulses at every stop alike.
    let pulses = if chance.unit() < 0.6 { chance.between(0.1, 1.2) } else { 0.0 };
    let pulsation = [pulses, pulses * chance.between(0.0, 0.5)];
    let stops = (0..4).map(|_| Stop { pulsation, ..stop(&mut chance) }).collect();
    Plan {
        seed: number,
        stops,
        rate_hz: [50.0, 100.0, 100.0, 200.0][(number % 4) as usize],
        jitter: chance.between(0.0, 0.45),
        gaps: if chance.unit() < 0.2 { 0.5 } else { 0.0 },
        mount: [chance.between(-3.1, 3.1), chance.between(-1.5, 1.5), chance.between(-3.1, 3.1)],
        noise: chance.between(0.01, 0.08),
        bias: chance.between(0.0, 0.15),
        rough: chance.between(0.1, 0.5),
        potholes: chance.between(0.0, 0.15),
        slope: chance.between(0.0, 0.05),
        pitch: chance.between(0.002, 0.005),
        circumference: 2.0725 * chance.between(0.975, 1.025),
        receiver: Receiver {
            delay_s: chance.between(0.0, 1.2),
            noise: chance.between(0.03, 0.12),
            rate_hz: if chance.unit() < 0.3 { 5.0 } else { 1.0 },
            missing: if chance.unit() < 0.3 { 0.1 } else { 0.0 },
            epoch_s: 1_795_600_000.0,
        },
        rolling_s: 4.0,
    }
}

fn stop(chance: &mut Chance) -> Stop {
    let has_anti_lock = chance.unit() < 0.4;
    let deceleration = if has_anti_lock { chance.between(4.0, 10.0) } else { chance.between(2.0, 9.5) };
    // At 10 m/s² and from walking pace there is no time for a cycle of anything.
    let slowest = 8.0 + deceleration;
    Stop {
        rise_s: chance.between(0.15, 0.6),
        anti_lock: has_anti_lock.then(|| (chance.between(4.0, 9.0), chance.between(1.4, 3.5))),
        ..Stop::from(chance.between(slowest, 35.0), deceleration)
    }
}

/// Two gentle stops with rolling in between, to be listened to.
pub fn draw_short(number: u64) -> Plan {
    let mut chance = Chance::new(number + 5000);
    let stops = (0..2).map(|_| Stop::from(chance.between(12.0, 18.0), chance.between(2.0, 4.0))).collect();
    Plan { seed: number, stops, rolling_s: 7.0, ..Plan::default() }
}
