//! What an operator watches: counts and times of this process, in the text format of Prometheus. No label names a device, a
//! person or a report, and a firm only where the operator asks for it.

mod files;
mod page;
mod requests;
mod rows;

use std::{sync::Arc, time::Duration};

use prometheus_client::{
    encoding::{EncodeLabelSet, prometheus_text},
    metrics::{counter::Counter, family::Family, gauge::Gauge, histogram::Histogram, info::Info},
    registry::{Registry, Unit},
};

pub(crate) use files::{MeasuredBlobs, MeasuredShelf};
pub use page::metrics_routes;
pub(crate) use requests::{count_request, wire};
pub(crate) use rows::MeasuredRows;

use crate::store::StoreError;

/// Upper ends in seconds: from a row that lies in memory to a request that is let go.
const SECONDS: [f64; 13] = [0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 10.0, 30.0];

type Histograms<L> = Family<L, Histogram, fn() -> Histogram>;

#[derive(Debug, Clone, PartialEq, Eq, Hash, EncodeLabelSet)]
struct OfRequest {
    route: String,
    method: &'static str,
    status: u16,
}

#[derive(Debug, Clone, PartialEq, Eq, Hash, EncodeLabelSet)]
struct OfRoute {
    route: String,
    method: &'static str,
}

#[derive(Debug, Clone, PartialEq, Eq, Hash, EncodeLabelSet)]
struct Outcome {
    outcome: &'static str,
}

#[derive(Debug, Clone, PartialEq, Eq, Hash, EncodeLabelSet)]
struct OfStore {
    store: &'static str,
    operation: &'static str,
}

/// Counts and times since this process began.
#[derive(Debug)]
pub struct Metrics {
    registry: Registry,
    requests: Family<OfRequest, Counter>,
    request_seconds: Histograms<OfRoute>,
    received: Counter,
    sent: Counter,
    inside: Gauge,
    connections: Family<Outcome, Counter>,
    entries: Counter,
    pieces: Family<Outcome, Counter>,
    files: Family<Outcome, Counter>,
    /// Labelled with the firm or with nothing.
    log_entries: Family<Vec<(&'static str, String)>, Gauge>,
    store_seconds: Histograms<OfStore>,
    store_failures: Family<OfStore, Counter>,
}

impl Default for Metrics {
    fn default() -> Self {
        Self::new()
    }
}

impl Metrics {
    /// Nothing has happened yet.
    pub fn new() -> Self {
        let histogram: fn() -> Histogram = || Histogram::new(SECONDS);
        let mut metrics = Self {
            registry: Registry::with_prefix("rimside"),
            requests: Family::default(),
            request_seconds: Family::new_with_constructor(histogram),
            received: Counter::default(),
            sent: Counter::default(),
            inside: Gauge::default(),
            connections: Family::default(),
            entries: Counter::default(),
            pieces: Family::default(),
            files: Family::default(),
            log_entries: Family::default(),
            store_seconds: Family::new_with_constructor(histogram),
            store_failures: Family::default(),
        };
        metrics.register();
        metrics
    }

    fn register(&mut self) {
        let registry = &mut self.registry;
        let build = Info::new([("version", env!("CARGO_PKG_VERSION"))]);
        registry.register("build", "The program that runs", build);
        registry.register("http_requests", "Requests that were answered", self.requests.clone());
        registry.register_with_unit(
            "http_request_duration",
            "From a request's head to its answer's",
            Unit::Seconds,
            self.request_seconds.clone(),
        );
        registry.register_with_unit("http_received", "What came over the wire", Unit::Bytes, self.received.clone());
        registry.register_with_unit("http_sent", "What went over the wire", Unit::Bytes, self.sent.clone());
        registry.register("http_connections_open", "Connections now", self.inside.clone());
        registry.register("http_connections", "Connections that came", self.connections.clone());
        registry.register("sync_entries", "Entries of devices that were taken", self.entries.clone());
        registry.register("pieces", "Pieces of photographs, recordings and reports", self.pieces.clone());
        registry.register(
            "files",
            "Photographs, recordings and reports that were put together of their pieces",
            self.files.clone(),
        );
        registry.register("log_entries", "Entries under the signed head that everybody sees", self.log_entries.clone());
        registry.register_with_unit(
            "store_duration",
            "Time in a store's operation",
            Unit::Seconds,
            self.store_seconds.clone(),
        );
        registry.register("store_failures", "Operations that a store did not do", self.store_failures.clone());
        // What has not happened is zero from the beginning, so that the first time is seen as a rise.
        for outcome in ["taken", "turned-away"] {
            drop(self.connections.get_or_create(&Outcome { outcome }));
        }
        for outcome in ["taken", "refused"] {
            drop(self.pieces.get_or_create(&Outcome { outcome }));
        }
        for outcome in ["whole", "missing", "other-bytes"] {
            drop(self.files.get_or_create(&Outcome { outcome }));
        }
    }

    /// All of it in the text format of Prometheus, version 0.0.4.
    pub fn to_text(&self) -> String {
        let mut text = String::new();
        // A String takes everything.
        let _ = prometheus_text::encode(&mut text, &self.registry);
        text
    }

    /// A connection that was let in; it is counted out when what is returned is dropped.
    pub(crate) fn connected(&self) -> Inside {
        self.connections.get_or_create(&Outcome { outcome: "taken" }).inc();
        self.inside.inc();
        Inside(self.inside.clone())
    }

    /// A connection that was closed at once.
    pub(crate) fn turned_away(&self) {
        self.connections.get_or_create(&Outcome { outcome: "turned-away" }).inc();
    }

    fn log_has(&self, firm: Option<&str>, entries: u64) {
        let labels: Vec<_> = firm.map(|firm| ("firm", firm.to_owned())).into_iter().collect();
        self.log_entries.get_or_create(&labels).set(i64::try_from(entries).unwrap_or(i64::MAX));
    }

    fn piece(&self, outcome: &'static str) {
        self.pieces.get_or_create(&Outcome { outcome }).inc();
    }

    /// Does something with a store, and notes how long it took and whether it failed. Somebody else's being faster is no
    /// failure.
    fn watch<T>(
        &self,
        store: &'static str,
        operation: &'static str,
        work: impl FnOnce() -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        let begun = tokio::time::Instant::now();
        let done = work();
        self.note(&OfStore { store, operation }, begun.elapsed(), matches!(done, Err(StoreError::Failed(_))));
        done
    }

    fn note(&self, of: &OfStore, took: Duration, failed: bool) {
        self.store_seconds.get_or_create(of).observe(took.as_secs_f64());
        let failures = self.store_failures.get_or_create(of);
        if failed {
            failures.inc();
        }
    }
}

/// A connection, for as long as it lasts.
#[derive(Debug)]
pub(crate) struct Inside(Gauge);

impl Drop for Inside {
    fn drop(&mut self) {
        self.0.dec();
    }
}

/// What is watched, and where it is noted.
#[derive(Debug, Clone)]
struct Watched<T: ?Sized> {
    inner: Arc<T>,
    metrics: Arc<Metrics>,
}
