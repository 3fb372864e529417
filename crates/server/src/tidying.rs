//! Pieces of photographs that nobody sends to their end are thrown away, day by day.

use std::{sync::Arc, time::Duration};

use chrono::TimeDelta;

use crate::http::Office;

/// So long a device may be offline in the middle of a photograph: a month, and it goes on where it stopped.
const KEPT: TimeDelta = TimeDelta::days(35);
const DAY: Duration = Duration::from_hours(24);

/// Tidies at once and then each day, for as long as it is awaited. A store that fails is tried again the next day.
pub async fn tidy_daily(office: Arc<Office>) {
    loop {
        let tidied = Arc::clone(&office);
        let swept = tokio::task::spawn_blocking(move || tidied.blobs.sweep(tidied.world.now() - KEPT)).await;
        let line = match swept {
            Ok(Ok(0)) => None,
            Ok(Ok(count)) => Some(serde_json::json!({"at": office.world.now().to_rfc3339(), "swept": count})),
            Ok(Err(_)) | Err(_) => Some(serde_json::json!({"at": office.world.now().to_rfc3339(), "swept": "failed"})),
        };
        if let Some(line) = line {
            (office.tell)(&line.to_string());
        }
        tokio::time::sleep(DAY).await;
    }
}
