//! Devices that tell the office what they wrote.

use std::{thread, time::Instant};

use anyhow::{Context as _, Result};
use serde_json::json;
use sync::Ask;

use crate::office::{Link, device, entry};

/// How far each device has written.
pub struct Pushed {
    written: [u64; super::DEVICES],
}

impl Pushed {
    pub const fn new() -> Self {
        Self { written: [0; super::DEVICES] }
    }

    /// So many devices at once, dealt out over these processes, tell so many batches of so many entries; the seconds.
    pub fn push(&mut self, addresses: &[&str], devices: usize, batches: u64, entries: u64) -> Result<f64> {
        let mut told = Vec::new();
        for (nth, written) in self.written.iter_mut().enumerate().take(devices) {
            let mut link = Link::open(addresses[nth % addresses.len()], &device(nth))?;
            // What the others told is heard before, so that it is not part of it.
            let heard = Ask { seen: u64::MAX >> 1, own: *written, entries: Vec::new(), ..Ask::default() };
            let answer: sync::Answer =
                serde_json::from_slice(&link.ask("POST", "/v1/sync", &serde_json::to_vec(&heard)?)?)?;
            let asks = (0..batches).map(|batch| {
                let from = *written + batch * entries;
                let new = (from + 1..=from + entries).map(|seq| entry(nth, seq, "car.description", json!(remark(seq))));
                let ask = Ask {
                    epoch: Some(answer.epoch.clone()),
                    seen: u64::MAX >> 1,
                    own: from + entries,
                    entries: new.collect(),
                    ..Ask::default()
                };
                serde_json::to_vec(&ask)
            });
            told.push((link, asks.collect::<Result<Vec<_>, _>>()?));
            *written += batches * entries;
        }
        let begun = Instant::now();
        thread::scope(|scope| {
            let telling: Vec<_> = told
                .into_iter()
                .map(|(mut link, asks)| {
                    scope.spawn(move || asks.iter().try_for_each(|ask| link.ask("POST", "/v1/sync", ask).map(|_| ())))
                })
                .collect();
            telling.into_iter().try_for_each(|one| one.join().ok().context("a device fell over")?)
        })?;
        Ok(begun.elapsed().as_secs_f64())
    }
}

pub fn remark(seq: u64) -> String {
    format!("seen again on the ramp: the inner face is smooth to the edge, {seq}")
}
