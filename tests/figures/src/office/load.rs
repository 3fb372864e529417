//! Two hundred devices, each of which tells a little and hears what the others told.

use std::{
    sync::Barrier,
    thread,
    time::{Duration, Instant},
};

use anyhow::{Context as _, Result};
use serde_json::json;
use sync::{Answer, Ask};

use super::{
    link::Link,
    served::{Served, device},
    upload::entry,
};
use crate::place::Place;

/// Devices at once.
pub const DEVICES: usize = 200;
/// Syncs of each.
const SYNCS: u64 = 10;
/// How long a device waits from one sync to the next: a firm in a hurry.
const PAUSE: Duration = Duration::from_secs(2);

/// What was seen, in seconds and bytes.
pub struct Seen {
    pub count: usize,
    pub median: f64,
    pub slowest_of_hundred: f64,
    pub peak: u64,
}

pub fn crowd(place: &Place) -> Result<Seen> {
    let folder = tempfile::tempdir_in(&place.scratch)?;
    let served = Served::start(place, folder.path(), DEVICES)?;
    let together = Barrier::new(DEVICES);
    let mut seconds = thread::scope(|scope| -> Result<Vec<f64>> {
        let devices: Vec<_> = (0..DEVICES)
            .map(|nth| {
                let (address, together) = (&served.address, &together);
                scope.spawn(move || sync_on(nth, address, together))
            })
            .collect();
        let mut seconds = Vec::new();
        for device in devices {
            seconds.extend(device.join().ok().context("a device fell over")??);
        }
        Ok(seconds)
    })?;
    seconds.sort_by(f64::total_cmp);
    let at = |share: f64| seconds[((seconds.len() as f64 * share) as usize).min(seconds.len() - 1)];
    Ok(Seen { count: seconds.len(), median: at(0.5), slowest_of_hundred: at(0.99), peak: served.peak()? })
}

/// Seconds that each sync of a device took. Devices are spread evenly over the pause, as clocks that agree on nothing are.
fn sync_on(nth: usize, address: &str, together: &Barrier) -> Result<Vec<f64>> {
    let link = Link::open(address, &device(nth));
    together.wait();
    let mut link = link?;
    let begun = Instant::now() + PAUSE.mul_f64(((nth * 73) % DEVICES) as f64 / DEVICES as f64);
    let (mut epoch, mut seen, mut seconds) = (None, 0, Vec::new());
    for seq in 1..=SYNCS {
        thread::sleep((begun + PAUSE * (seq as u32 - 1)).saturating_duration_since(Instant::now()));
        let remark = json!(format!("seen again on the ramp: the inner face is smooth to the edge, {seq}"));
        let entries = vec![entry(nth, seq, "car.description", remark)];
        let ask = serde_json::to_vec(&Ask { epoch: epoch.take(), seen, own: seq, entries, ..Ask::default() })?;
        let start = Instant::now();
        let answer: Answer = serde_json::from_slice(&link.ask("POST", "/v1/sync", &ask)?)?;
        seconds.push(start.elapsed().as_secs_f64());
        (epoch, seen) = (Some(answer.epoch), answer.seen);
    }
    Ok(seconds)
}
