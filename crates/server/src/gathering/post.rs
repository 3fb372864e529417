//! Asking a witness over HTTP. It speaks no TLS, as the office speaks none: a proxy does.

use std::{io, time::Duration};

use axum::{
    body::{Body, to_bytes},
    http::{Request, Uri, header},
};
use hyper_util::rt::TokioIo;
use tokio::{net::TcpStream, time::timeout};

use super::AskWitness;

/// A few signature lines, or a size.
const MOST_BYTES: usize = 64 * 1024;

/// A witness at an address of `http://`.
#[derive(Debug, Clone)]
pub struct HttpWitness {
    host: String,
    port: u16,
    path: String,
    limit: Duration,
}

impl HttpWitness {
    /// The witness at this prefix of addresses, which answers within that time. None for anything but `http://` with a host.
    pub fn parse(address: &str, limit: Duration) -> Option<Self> {
        let address: Uri = address.parse().ok()?;
        let (authority, host) = (address.authority()?.as_str(), address.host()?);
        let port = match authority.strip_prefix(host)? {
            "" => 80,
            port => port.strip_prefix(':')?.parse().ok()?,
        };
        let is_plain = address.scheme_str() == Some("http") && address.query().is_none() && !host.is_empty();
        let path = format!("{}/add-checkpoint", address.path().trim_end_matches('/'));
        is_plain.then(|| Self { host: host.to_owned(), port, path, limit })
    }

    async fn send(&self, body: String) -> io::Result<(u16, String)> {
        // An address of version 6 stands in brackets.
        let host = self.host.trim_matches(['[', ']']);
        let stream = TcpStream::connect((host, self.port)).await?;
        let (mut sender, connection) =
            hyper::client::conn::http1::handshake(TokioIo::new(stream)).await.map_err(io::Error::other)?;
        tokio::spawn(connection);
        let request = Request::post(&self.path)
            .header(header::HOST, format!("{}:{}", self.host, self.port))
            .header(header::CONTENT_TYPE, "text/plain; charset=utf-8")
            .body(Body::from(body))
            .map_err(io::Error::other)?;
        let answer = sender.send_request(request).await.map_err(io::Error::other)?;
        let status = answer.status().as_u16();
        let bytes = to_bytes(Body::new(answer.into_body()), MOST_BYTES).await.map_err(io::Error::other)?;
        Ok((status, String::from_utf8(bytes.to_vec()).map_err(io::Error::other)?))
    }
}

impl AskWitness for HttpWitness {
    fn add_checkpoint(&self, request: &str) -> io::Result<(u16, String)> {
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build()?;
        let answer = runtime.block_on(async { timeout(self.limit, self.send(request.to_owned())).await });
        // A name that is still being looked up is not waited for.
        runtime.shutdown_background();
        answer.unwrap_or_else(|_| Err(io::Error::from(io::ErrorKind::TimedOut)))
    }
}
