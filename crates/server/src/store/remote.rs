//! Waiting for stores that are elsewhere. The stores' traits wait; their clients do not.

use std::{future::Future, sync::OnceLock};

use tokio::runtime::{Builder, Runtime};

use super::StoreError;

/// Where the clients of stores do their work. Made once: it outlives every store.
fn runtime() -> Result<&'static Runtime, StoreError> {
    static RUNTIME: OnceLock<Runtime> = OnceLock::new();
    if let Some(runtime) = RUNTIME.get() {
        return Ok(runtime);
    }
    let made = Builder::new_multi_thread().worker_threads(2).thread_name("stores").enable_all().build()?;
    Ok(RUNTIME.get_or_init(|| made))
}

/// Waits for something on a thread that may wait.
///
/// # Errors
/// A system that has no threads left, and what the work itself fails with.
pub(super) fn wait<T>(work: impl Future<Output = Result<T, StoreError>>) -> Result<T, StoreError> {
    runtime()?.block_on(work)
}
