//! A witness over HTTP, as C2SP `tlog-witness` has it: `POST /add-checkpoint`, and what was signed last for everybody.

use std::{sync::Arc, time::Duration};

use axum::{
    Router,
    body::Bytes,
    extract::{DefaultBodyLimit, Path, Request, State},
    http::{StatusCode, header},
    middleware::{self, Next},
    response::{IntoResponse as _, Response},
    routing::{get, post},
};
use log::WitnessRefusal;

use super::{Witness, WitnessError};
use crate::{enrol::OfficeWorld, store::StoreError};

/// A proof of 63 hashes and a head with as many signatures as are read.
const MOST_BYTES: usize = 64 * 1024;

struct Served {
    witness: Witness,
    world: Arc<dyn OfficeWorld>,
}

/// All addresses of a witness; each request is answered within that time or not at all.
pub fn witness_routes(witness: Witness, world: Arc<dyn OfficeWorld>, within: Duration) -> Router {
    Router::new()
        .route("/health", get(|| async { "ok\n" }))
        .route("/add-checkpoint", post(add_checkpoint))
        .route("/{origin}/checkpoint", get(read_signed))
        .layer(DefaultBodyLimit::max(MOST_BYTES))
        .layer(middleware::from_fn(move |request, next| in_time(within, request, next)))
        .with_state(Arc::new(Served { witness, world }))
}

/// Whoever sends a body drop by drop is not waited for.
async fn in_time(within: Duration, request: Request, next: Next) -> Response {
    let late = || (StatusCode::REQUEST_TIMEOUT, "it took too long\n").into_response();
    tokio::time::timeout(within, next.run(request)).await.unwrap_or_else(|_| late())
}

/// Does something with the shelf on a thread that may wait.
async fn aside<T: Send + 'static>(
    served: Arc<Served>,
    work: impl FnOnce(&Served) -> Result<T, WitnessError> + Send + 'static,
) -> Result<T, WitnessError> {
    let done = tokio::task::spawn_blocking(move || work(&served)).await;
    done.unwrap_or_else(|error| Err(StoreError::Failed(error.to_string()).into()))
}

async fn add_checkpoint(State(served): State<Arc<Served>>, body: Bytes) -> Response {
    let signed = aside(served, move |served| {
        let request = std::str::from_utf8(&body).map_err(|_| WitnessRefusal::Malformed)?;
        served.witness.add_checkpoint(request, served.world.now())
    });
    match signed.await {
        Ok(line) => ([(header::CONTENT_TYPE, "text/plain; charset=utf-8")], line).into_response(),
        Err(error) => refuse(&error),
    }
}

fn refuse(error: &WitnessError) -> Response {
    match error {
        WitnessError::Refused(refusal) => {
            let status = StatusCode::from_u16(refusal.status()).unwrap_or(StatusCode::BAD_REQUEST);
            if let WitnessRefusal::Moved { size } = refusal {
                return (status, [(header::CONTENT_TYPE, "text/x.tlog.size")], format!("{size}\n")).into_response();
            }
            (status, format!("{refusal}\n")).into_response()
        }
        // What went wrong inside is nobody's outside.
        WitnessError::Store(_) => (StatusCode::INTERNAL_SERVER_ERROR, "it failed\n").into_response(),
    }
}

async fn read_signed(State(served): State<Arc<Served>>, Path(origin): Path<String>) -> Response {
    match aside(served, move |served| Ok(served.witness.find_signed(&origin)?)).await {
        Ok(Some(text)) => {
            let headers = [(header::CONTENT_TYPE, "text/plain; charset=utf-8"), (header::CACHE_CONTROL, "no-cache")];
            (headers, text).into_response()
        }
        Ok(None) => (StatusCode::NOT_FOUND, "no head of that log was signed here\n").into_response(),
        Err(error) => refuse(&error),
    }
}
