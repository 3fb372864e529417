//! What a request has to keep to before any address looks at it: how often, how large, and nothing said twice.

use std::{
    net::{IpAddr, Ipv6Addr},
    sync::Arc,
    time::Duration,
};

use axum::{
    extract::{Request, State},
    http::{HeaderMap, HeaderName, HeaderValue, Method, header},
    middleware::Next,
    response::{IntoResponse, Response},
};
use tokio::time::Instant;

use super::{answer::Refusal, listen::Limits, rate::Buckets};

/// No address takes a body that is larger; each has a limit of its own below it.
const MOST_BYTES: u64 = 256 << 20;
/// Headers that say who asks and what is sent: two of one would let two readers understand two things.
const ONCE: [HeaderName; 4] =
    [header::AUTHORIZATION, header::CONTENT_LENGTH, header::HOST, HeaderName::from_static("content-digest")];
const FORWARDED: &str = "x-forwarded-for";

/// Who asks, as the connection says.
#[derive(Debug, Clone, Copy)]
pub(super) struct Peer(pub IpAddr);

/// The door.
#[derive(Debug)]
pub(super) struct Door {
    proxy: Option<IpAddr>,
    addresses: Buckets,
    devices: Buckets,
    enrolments: Buckets,
}

impl Door {
    pub fn new(limits: &Limits) -> Self {
        Self {
            proxy: limits.proxy,
            addresses: Buckets::new(limits.address),
            devices: Buckets::new(limits.device),
            enrolments: Buckets::new(limits.enrol),
        }
    }

    /// Whose request it is: the proxy's word counts where there is one, and nobody else's.
    fn whose(&self, peer: IpAddr, headers: &HeaderMap) -> IpAddr {
        if self.proxy.map(|proxy| proxy.to_canonical()) != Some(peer.to_canonical()) {
            return network(peer);
        }
        // What stands last was written by the proxy itself.
        let last = headers.get_all(FORWARDED).iter().next_back().and_then(|value| value.to_str().ok());
        network(last.and_then(|list| list.rsplit(',').next()?.trim().parse().ok()).unwrap_or(peer))
    }

    fn look(&self, peer: IpAddr, request: &Request) -> Result<(), Turned> {
        let headers = request.headers();
        let now = Instant::now();
        let whose = self.whose(peer, headers);
        self.addresses.take(&whose, now).map_err(wait)?;
        if ONCE.iter().any(|name| headers.get_all(name).iter().nth(1).is_some()) {
            return Err(Turned { why: Refusal::TWICE, wait: None });
        }
        if request.method() == Method::POST && request.uri().path() == "/v1/enrol" {
            self.enrolments.take(&whose, now).map_err(wait)?;
        }
        if let Some(token) = headers.get(header::AUTHORIZATION) {
            self.devices.take(&token.as_bytes(), now).map_err(wait)?;
        }
        let told = headers.get(header::CONTENT_LENGTH).and_then(|value| value.to_str().ok()?.parse::<u64>().ok());
        if told.is_some_and(|bytes| bytes > MOST_BYTES) {
            return Err(Turned { why: Refusal::LARGE, wait: None });
        }
        Ok(())
    }
}

/// Whoever has one address of the sixth version has as many as he likes.
fn network(address: IpAddr) -> IpAddr {
    match address.to_canonical() {
        IpAddr::V6(address) => Ipv6Addr::from_bits(address.to_bits() >> 64 << 64).into(),
        address @ IpAddr::V4(_) => address,
    }
}

/// Why somebody is not let in, and how long it lasts.
struct Turned {
    why: Refusal,
    wait: Option<Duration>,
}

const fn wait(until: Duration) -> Turned {
    Turned { why: Refusal::OFTEN, wait: Some(until) }
}

impl IntoResponse for Turned {
    fn into_response(self) -> Response {
        let mut response = self.why.into_response();
        if let Some(until) = self.wait {
            response.headers_mut().insert(header::RETRY_AFTER, HeaderValue::from(until.as_secs() + 1));
        }
        response
    }
}

/// Lets a request in, or answers it.
pub(super) async fn admit(State(door): State<Arc<Door>>, request: Request, next: Next) -> Response {
    let peer = request.extensions().get::<Peer>().map(|peer| peer.0);
    match peer.map_or(Ok(()), |peer| door.look(peer, &request)) {
        Ok(()) => next.run(request).await,
        Err(turned) => turned.into_response(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn whose(proxy: Option<&str>, peer: &str, forwarded: &[&str]) -> String {
        let door = Door::new(&Limits { proxy: proxy.map(|proxy| proxy.parse().unwrap()), ..Limits::default() });
        let mut headers = HeaderMap::new();
        for one in forwarded {
            headers.append(FORWARDED, one.parse().unwrap());
        }
        door.whose(peer.parse().unwrap(), &headers).to_string()
    }

    #[test]
    fn an_address_is_the_connections_or_what_the_own_proxy_says() {
        assert_eq!(whose(None, "192.0.2.7", &["198.51.100.1"]), "192.0.2.7", "anybody may claim to be forwarded");
        assert_eq!(whose(Some("127.0.0.1"), "192.0.2.7", &["198.51.100.1"]), "192.0.2.7");
        assert_eq!(whose(Some("127.0.0.1"), "127.0.0.1", &["203.0.113.9, 198.51.100.1"]), "198.51.100.1");
        assert_eq!(whose(Some("127.0.0.1"), "::ffff:127.0.0.1", &["x", "198.51.100.1"]), "198.51.100.1");
        assert_eq!(whose(Some("127.0.0.1"), "127.0.0.1", &["no address"]), "127.0.0.1");
        assert_eq!(whose(None, "2001:db8:1:2:3:4:5:6", &[]), "2001:db8:1:2::");
    }
}
