//! Asking others over HTTP and HTTPS, one question and one answer at a time.
//!
//! Whose certificate counts is for this machine's list of authorities to say, or for the file that `SSL_CERT_FILE` names. No
//! redirect is followed and no proxy of the environment is taken: whom the office asks stands in its own settings.

use std::{error::Error, io, sync::Once, time::Duration};

use reqwest::{
    Certificate, Client, ClientBuilder, Response, Url,
    header::{ACCEPT, CONTENT_TYPE},
    redirect::Policy,
};
use tokio::time::timeout;
use tokio_rustls::rustls::crypto::ring;

/// An address at which somebody is asked, within a time.
#[derive(Debug, Clone)]
pub struct Address {
    url: Url,
    client: Client,
    limit: Duration,
}

/// Why nobody can be asked at an address.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum AddressError {
    /// No address of the web.
    #[error("got the address {got:?}, expected https:// or http:// with a host, without a name, a password or a #")]
    Shape {
        /// What came.
        got: String,
    },
    /// A certificate that is none, or no list of authorities on this machine.
    #[error("nobody can be trusted over TLS: {why}")]
    Roots {
        /// Why.
        why: String,
    },
}

/// What came back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answered {
    /// The status.
    pub status: u16,
    /// The header `Content-Type` without its parameters, in lower case; empty where there is none.
    pub kind: String,
    /// What was said.
    pub bytes: Vec<u8>,
}

impl Address {
    /// The address, whose certificate an authority of this machine's list has to vouch for.
    ///
    /// # Errors
    /// [`AddressError`].
    pub fn parse(text: &str, limit: Duration) -> Result<Self, AddressError> {
        Self::build(text, limit, None)
    }

    /// The address, whose certificate one of these authorities (PEM, one after another) has to vouch for, and nobody else.
    ///
    /// # Errors
    /// [`AddressError`].
    pub fn parse_trusting(text: &str, limit: Duration, roots: &str) -> Result<Self, AddressError> {
        let roots = Certificate::from_pem_bundle(roots.as_bytes());
        Self::build(text, limit, Some(roots.map_err(|error| AddressError::Roots { why: explain(&error) })?))
    }

    fn build(text: &str, limit: Duration, roots: Option<Vec<Certificate>>) -> Result<Self, AddressError> {
        let shape = || AddressError::Shape { got: text.to_owned() };
        let url: Url = text.parse().map_err(|_| shape())?;
        let is_plain = url.username().is_empty() && url.password().is_none() && url.fragment().is_none();
        if !matches!(url.scheme(), "http" | "https") || url.host().is_none() || !is_plain || text.contains(' ') {
            return Err(shape());
        }
        // Where nothing is encrypted, a machine without any list of authorities will do.
        let roots = if url.scheme() == "http" { Some(Vec::new()) } else { roots };
        let client = build_client(roots).map_err(|error| AddressError::Roots { why: explain(&error) })?;
        Ok(Self { url, client, limit })
    }

    /// The address with one more step at the end of its path.
    pub(crate) fn below(mut self, step: &str) -> Self {
        if let Ok(mut steps) = self.url.path_segments_mut() {
            steps.pop_if_empty().push(step);
        }
        self
    }

    pub(crate) fn has_query(&self) -> bool {
        self.url.query().is_some()
    }

    /// Sends bytes of this kind and reads at most `most` bytes of the answer. It waits on its own thread, which may not be one
    /// that serves others.
    ///
    /// # Errors
    /// Nobody answered whole within the time.
    pub fn post(&self, (sent, expected): (&str, &str), body: &[u8], most: usize) -> io::Result<Answered> {
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build()?;
        let answer =
            runtime.block_on(async { timeout(self.limit, self.send((sent, expected), body.to_vec(), most)).await });
        // A name that is still being looked up is not waited for.
        runtime.shutdown_background();
        answer.unwrap_or_else(|_| Err(io::ErrorKind::TimedOut.into()))
    }

    async fn send(&self, (sent, expected): (&str, &str), body: Vec<u8>, most: usize) -> io::Result<Answered> {
        let request = self.client.post(self.url.clone()).header(CONTENT_TYPE, sent).header(ACCEPT, expected).body(body);
        let mut answer = request.send().await.map_err(told)?;
        let (status, kind) = (answer.status().as_u16(), kind(&answer));
        let mut bytes = Vec::new();
        while let Some(piece) = answer.chunk().await.map_err(told)? {
            if bytes.len() + piece.len() > most {
                return Err(io::Error::other(format!("an answer of more than {most} bytes")));
            }
            bytes.extend_from_slice(&piece);
        }
        Ok(Answered { status, kind, bytes })
    }
}

fn build_client(roots: Option<Vec<Certificate>>) -> reqwest::Result<Client> {
    static PROVIDER: Once = Once::new();
    // The provider that the office's own TLS has. Whoever was first in this process, it is the only one that is built in.
    PROVIDER.call_once(|| drop(ring::default_provider().install_default()));
    let builder: ClientBuilder = Client::builder().redirect(Policy::none()).no_proxy().pool_max_idle_per_host(0);
    match roots {
        Some(roots) => builder.tls_certs_only(roots),
        None => builder,
    }
    .build()
}

fn kind(answer: &Response) -> String {
    let kind = answer.headers().get(CONTENT_TYPE).and_then(|value| value.to_str().ok()).unwrap_or_default();
    kind.split(';').next().unwrap_or_default().trim().to_ascii_lowercase()
}

/// What went wrong, without the address, which whoever reads it knows.
fn told(error: reqwest::Error) -> io::Error {
    io::Error::other(explain(&error.without_url()))
}

/// An error with all that is behind it: the outermost alone says only that it did not work.
fn explain(error: &dyn Error) -> String {
    let mut text = error.to_string();
    let mut behind = error.source();
    while let Some(cause) = behind {
        text.push_str(&format!(": {cause}"));
        behind = cause.source();
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_names_a_host_and_nobody() {
        let read = |text: &str| Address::parse(text, Duration::from_secs(1));
        for good in ["http://stamps.example", "http://[::1]:4719/a/b?c=d", "http://127.0.0.1:1"] {
            assert!(read(good).is_ok(), "{good}");
        }
        for bad in [
            "",
            "stamps.example",
            "ftp://stamps.example",
            "file:///etc/passwd",
            "http://",
            "http://h:port",
            "http://h:70000",
            "http://me@h",
            "http://me:word@h",
            "http://h#there",
            "http://a b",
            " http://h",
        ] {
            assert!(matches!(read(bad), Err(AddressError::Shape { .. })), "{bad}");
        }
        let below = |text: &str| read(text).unwrap().below("add-checkpoint").url.to_string();
        assert_eq!(below("http://h"), "http://h/add-checkpoint");
        assert_eq!(below("http://h/w1/"), "http://h/w1/add-checkpoint");
        assert!(matches!(
            Address::parse_trusting("https://h", Duration::from_secs(1), "-----BEGIN CERTIFICATE-----\nx"),
            Err(AddressError::Roots { .. })
        ));
    }
}
