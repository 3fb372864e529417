//! How often anybody may ask: buckets that fill with time.

use std::{
    collections::{HashMap, hash_map::RandomState},
    hash::{BuildHasher as _, Hash},
    sync::{Mutex, PoisonError},
    time::Duration,
};

use tokio::time::Instant;

/// So many are remembered at once; whoever comes besides shares one bucket.
const MOST_REMEMBERED: usize = 16_384;
/// The bucket that is shared.
const SHARED: u64 = 0;

/// How often something may be asked: so many times in a minute, and all of them at once if need be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rate {
    /// Requests in a minute.
    pub per_minute: u32,
}

impl Rate {
    fn per_second(self) -> f64 {
        f64::from(self.per_minute) / 60.0
    }
}

#[derive(Debug, Clone, Copy)]
struct Bucket {
    left: f64,
    at: Instant,
}

/// A bucket for each of those who ask.
#[derive(Debug)]
pub(super) struct Buckets {
    rate: Rate,
    /// Nobody can choose a name that falls on another's.
    names: RandomState,
    held: Mutex<HashMap<u64, Bucket>>,
}

impl Buckets {
    pub fn new(rate: Rate) -> Self {
        Self { rate, names: RandomState::new(), held: Mutex::default() }
    }

    /// Takes one out of the bucket of `who`; else how long it takes until there is one.
    pub fn take(&self, who: &impl Hash, now: Instant) -> Result<(), Duration> {
        let mut held = self.held.lock().unwrap_or_else(PoisonError::into_inner);
        let (most, per_second) = (f64::from(self.rate.per_minute), self.rate.per_second());
        let filled =
            |bucket: &Bucket| (bucket.left + now.duration_since(bucket.at).as_secs_f64() * per_second).min(most);
        let mut name = self.names.hash_one(who).max(SHARED + 1);
        if !held.contains_key(&name) && held.len() >= MOST_REMEMBERED {
            // A full bucket is as none.
            held.retain(|_, bucket| filled(bucket) < most);
            if held.len() >= MOST_REMEMBERED {
                name = SHARED;
            }
        }
        let bucket = held.entry(name).or_insert(Bucket { left: most, at: now });
        *bucket = Bucket { left: filled(bucket), at: now };
        if bucket.left < 1.0 {
            return Err(Duration::from_secs_f64((1.0 - bucket.left) / per_second));
        }
        bucket.left -= 1.0;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bucket_gives_what_it_has_and_fills_again() {
        let (buckets, now) = (Buckets::new(Rate { per_minute: 6 }), Instant::now());
        for _ in 0..6 {
            buckets.take(&"one", now).unwrap();
        }
        let wait = buckets.take(&"one", now).unwrap_err();
        assert!((wait.as_secs_f64() - 10.0).abs() < 1e-6, "{wait:?}");
        buckets.take(&"two", now).expect("another's bucket is another's");
        buckets.take(&"one", now + Duration::from_secs(11)).unwrap();
        buckets.take(&"one", now + Duration::from_secs(12)).unwrap_err();
        // However long nobody asks, there are no more than a minute's.
        let later = now + Duration::from_hours(9);
        assert_eq!((0..20).filter(|_| buckets.take(&"one", later).is_ok()).count(), 6);
    }

    #[test]
    fn a_flood_of_names_takes_no_more_room_and_shuts_nobody_out_for_long() {
        let (buckets, now) = (Buckets::new(Rate { per_minute: 60 }), Instant::now());
        buckets.take(&"known", now).unwrap();
        for nth in 0..MOST_REMEMBERED + 500 {
            let _ = buckets.take(&nth, now);
        }
        assert!(buckets.held.lock().unwrap().len() <= MOST_REMEMBERED + 1);
        buckets.take(&"known", now).expect("who was known before still has a bucket");
        buckets.take(&"a stranger", now).expect_err("strangers share what is left");
        buckets.take(&"a stranger", now + Duration::from_mins(2)).expect("a minute later nobody is in the way");
    }
}
