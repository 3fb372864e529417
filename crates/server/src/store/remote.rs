//! Waiting for stores that are elsewhere. The stores' traits wait; their clients do not.

use std::{future::Future, sync::OnceLock};

use tokio::{
    runtime::{Builder, Runtime},
    task::JoinHandle,
};

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

/// Something that goes on while nobody waits for it.
#[derive(Debug)]
pub(super) struct Begun(JoinHandle<Result<(), StoreError>>);

/// Begins something.
///
/// # Errors
/// A system that has no threads left.
pub(super) fn begin(work: impl Future<Output = Result<(), StoreError>> + Send + 'static) -> Result<Begun, StoreError> {
    Ok(Begun(runtime()?.spawn(work)))
}

impl Begun {
    /// Waits for its end.
    ///
    /// # Errors
    /// What it failed with.
    pub fn end(self) -> Result<(), StoreError> {
        wait(async { self.0.await.map_err(|error| StoreError::Failed(error.to_string()))? })
    }

    /// Whether there is nothing to wait for.
    pub fn has_ended(&self) -> bool {
        self.0.is_finished()
    }
}
