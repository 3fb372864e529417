//! Connections: as many as are allowed, none that dawdles, and an end that lets what was begun be finished.

use std::{future::Future, pin::pin, sync::Arc, time::Duration};

use axum::Router;
use hyper_util::{
    rt::{TokioExecutor, TokioIo, TokioTimer},
    server::{conn::auto::Builder, graceful::GracefulShutdown},
    service::TowerToHyperService,
};
use tokio::{
    net::TcpListener,
    sync::Semaphore,
    time::{sleep, timeout},
};

/// After a connection that could not be taken.
const BREATH: Duration = Duration::from_millis(50);

/// How much anybody may take.
#[derive(Debug, Clone, Copy)]
pub struct Limits {
    /// Connections at once.
    pub connections: usize,
    /// Until a request's head has come whole.
    pub head: Duration,
    /// Until a request is answered.
    pub answer: Duration,
    /// Until what was begun is finished, when the office closes.
    pub closing: Duration,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            connections: 512,
            head: Duration::from_secs(10),
            answer: Duration::from_secs(30),
            closing: Duration::from_secs(20),
        }
    }
}

/// Serves until `closing` comes; then no connection is taken any more, and what was begun is finished.
pub async fn serve(listener: TcpListener, routes: Router, limits: Limits, closing: impl Future<Output = ()>) {
    let room = Arc::new(Semaphore::new(limits.connections));
    let graceful = GracefulShutdown::new();
    let mut closing = pin!(closing);
    loop {
        // A full office takes nobody in, and closes all the same.
        let next = async {
            let place = Arc::clone(&room).acquire_owned().await;
            (place, listener.accept().await)
        };
        let (place, accepted) = tokio::select! {
            next = next => next,
            () = &mut closing => break,
        };
        let Ok((stream, _)) = accepted else {
            // A connection that came to nothing, or no room for one: asking again at once would do nothing else.
            sleep(BREATH).await;
            continue;
        };
        let mut builder = Builder::new(TokioExecutor::new());
        builder.http1().timer(TokioTimer::new()).header_read_timeout(limits.head).keep_alive(true);
        let service = TowerToHyperService::new(routes.clone());
        let connection = builder.serve_connection(TokioIo::new(stream), service).into_owned();
        let watched = graceful.watch(connection);
        tokio::spawn(async move {
            let _ = timeout(limits.answer.saturating_mul(20), watched).await;
            drop(place);
        });
    }
    drop(listener);
    let _ = timeout(limits.closing, graceful.shutdown()).await;
}
