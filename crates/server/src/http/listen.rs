//! Connections: as many as are allowed, none that dawdles, and an end that lets what was begun be finished.

use std::{
    collections::HashMap,
    future::Future,
    net::IpAddr,
    pin::pin,
    sync::{Arc, Mutex, PoisonError},
    time::Duration,
};

use axum::{
    Router,
    extract::Request,
    http::{HeaderValue, header},
    middleware,
};
use hyper_util::{
    rt::{TokioExecutor, TokioIo, TokioTimer},
    server::{
        conn::auto::Builder,
        graceful::{GracefulShutdown, Watcher},
    },
    service::TowerToHyperService,
};
use tokio::{
    io::{AsyncRead, AsyncWrite},
    net::TcpListener,
    sync::Semaphore,
    time::{sleep, timeout},
};
use tokio_rustls::TlsAcceptor;
use tower::ServiceExt as _;
use tower_http::set_header::SetResponseHeaderLayer;

use super::{
    admit::{Door, Peer, admit},
    rate::Rate,
    tls::{STRICT, Tls},
};
use crate::metrics::{Metrics, count_request, wire};

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
    /// Requests of one address.
    pub address: Rate,
    /// Requests with one token.
    pub device: Rate,
    /// Attempts of one address to let a device in.
    pub enrol: Rate,
    /// The proxy before the office, if there is one: its `X-Forwarded-For` says whose a request is.
    pub proxy: Option<IpAddr>,
}

impl Limits {
    /// Where nobody said anything.
    pub const USUAL: Self = Self {
        connections: 512,
        head: Duration::from_secs(10),
        answer: Duration::from_secs(30),
        closing: Duration::from_secs(20),
        address: Rate { per_minute: 6_000 },
        device: Rate { per_minute: 3_000 },
        enrol: Rate { per_minute: 10 },
        proxy: None,
    };
}

impl Default for Limits {
    fn default() -> Self {
        Self::USUAL
    }
}

/// How an office meets whoever comes.
#[derive(Default)]
pub struct Counter {
    /// How much anybody may take.
    pub limits: Limits,
    /// The certificate, where the office speaks TLS itself; every answer then says to come no other way.
    pub tls: Option<Arc<Tls>>,
    /// Where it is noted what comes and goes.
    pub metrics: Arc<Metrics>,
}

/// Serves until `closing` comes; then no connection is taken any more, and what was begun is finished.
pub async fn serve(listener: TcpListener, routes: Router, limits: Limits, closing: impl Future<Output = ()>) {
    serve_at(Counter { limits, ..Counter::default() }, listener, routes, closing).await;
}

/// The same over TLS.
pub async fn serve_tls(
    listener: TcpListener,
    routes: Router,
    limits: Limits,
    tls: Arc<Tls>,
    closing: impl Future<Output = ()>,
) {
    serve_at(Counter { limits, tls: Some(tls), ..Counter::default() }, listener, routes, closing).await;
}

/// The same as the counter says.
pub async fn serve_at(counter: Counter, listener: TcpListener, routes: Router, closing: impl Future<Output = ()>) {
    let Counter { limits, tls, metrics } = counter;
    let mut routes = routes.layer(middleware::from_fn_with_state(Arc::new(Door::new(&limits)), admit));
    if tls.is_some() {
        let strict = HeaderValue::from_static(STRICT);
        routes = routes.layer(SetResponseHeaderLayer::overriding(header::STRICT_TRANSPORT_SECURITY, strict));
    }
    // Outermost, so that whoever is turned away at the door is counted too.
    let routes = routes.layer(middleware::from_fn_with_state(Arc::clone(&metrics), count_request));
    let room = Arc::new(Semaphore::new(limits.connections));
    let guests = Arc::new(Guests::new(&limits));
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
        let Ok((stream, peer)) = accepted else {
            // A connection that came to nothing, or no room for one: asking again at once would do nothing else.
            sleep(BREATH).await;
            continue;
        };
        let Some(guest) = guests.let_in(peer.ip()) else {
            metrics.turned_away();
            continue;
        };
        let (inside, stream) = (metrics.connected(), wire(&metrics, stream));
        let (routes, watcher) = (routes.clone(), graceful.watcher());
        let tls = tls.as_ref().map(|tls| TlsAcceptor::from(tls.config()));
        tokio::spawn(async move {
            match tls {
                None => converse(stream, peer.ip(), routes, limits, watcher).await,
                // Whoever is slow to shake hands is let go as he is who is slow with a head.
                Some(tls) => {
                    if let Ok(Ok(stream)) = timeout(limits.head, tls.accept(stream)).await {
                        converse(stream, peer.ip(), routes, limits, watcher).await;
                    }
                }
            }
            drop((place, guest, inside));
        });
    }
    drop(listener);
    let _ = timeout(limits.closing, graceful.shutdown()).await;
}

/// Answers what comes over one connection.
async fn converse<S>(stream: S, peer: IpAddr, routes: Router, limits: Limits, watcher: Watcher)
where
    S: AsyncRead + AsyncWrite + Unpin + Send + 'static,
{
    let mut builder = Builder::new(TokioExecutor::new());
    builder.http1().timer(TokioTimer::new()).header_read_timeout(limits.head).keep_alive(true);
    let routes = routes.map_request(move |mut request: Request<_>| {
        request.extensions_mut().insert(Peer(peer));
        request
    });
    let connection = builder.serve_connection(TokioIo::new(stream), TowerToHyperService::new(routes)).into_owned();
    let _ = timeout(limits.answer.saturating_mul(20), watcher.watch(connection)).await;
}

/// Who is inside: no address takes more than half of the room, so that one alone shuts nobody out.
struct Guests {
    most: usize,
    proxy: Option<IpAddr>,
    inside: Mutex<HashMap<IpAddr, usize>>,
}

struct Guest {
    guests: Arc<Guests>,
    address: IpAddr,
}

impl Guests {
    fn new(limits: &Limits) -> Self {
        Self { most: limits.connections.div_ceil(2), proxy: limits.proxy, inside: Mutex::default() }
    }

    fn let_in(self: &Arc<Self>, address: IpAddr) -> Option<Guest> {
        let mut inside = self.inside.lock().unwrap_or_else(PoisonError::into_inner);
        let count = inside.entry(address).or_default();
        if *count >= self.most && self.proxy != Some(address) {
            return None;
        }
        *count += 1;
        Some(Guest { guests: Arc::clone(self), address })
    }
}

impl Drop for Guest {
    fn drop(&mut self) {
        let mut inside = self.guests.inside.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(count) = inside.get_mut(&self.address) {
            *count -= 1;
            if *count == 0 {
                inside.remove(&self.address);
            }
        }
    }
}
