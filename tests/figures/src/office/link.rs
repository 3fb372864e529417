//! A device's connection to the office: one, kept open.

use std::{
    io::{BufRead as _, BufReader, Read as _, Write as _},
    net::TcpStream,
};

use anyhow::{Context as _, Result, bail};
use sync::content_digest;

/// A connection with a token.
pub struct Link {
    stream: BufReader<TcpStream>,
    token: String,
}

impl Link {
    pub fn open(address: &str, token: &str) -> Result<Self> {
        let stream = TcpStream::connect(address)?;
        stream.set_nodelay(true)?;
        Ok(Self { stream: BufReader::new(stream), token: token.to_owned() })
    }

    /// The body of the answer, which must be a good one.
    pub fn ask(&mut self, method: &str, path: &str, body: &[u8]) -> Result<Vec<u8>> {
        self.ask_with(method, path, body, &content_digest(body))
    }

    /// The same, where the digest was reckoned before.
    pub fn ask_with(&mut self, method: &str, path: &str, body: &[u8], digest: &str) -> Result<Vec<u8>> {
        let head = format!(
            "{method} {path} HTTP/1.1\r\nhost: office\r\nauthorization: Bearer {}\r\ncontent-digest: {digest}\r\ncontent-length: {}\r\n\r\n",
            self.token,
            body.len()
        );
        let stream = self.stream.get_mut();
        stream.write_all(head.as_bytes())?;
        stream.write_all(body)?;
        let (mut status, mut length) = (String::new(), 0);
        self.stream.read_line(&mut status)?;
        loop {
            let mut line = String::new();
            self.stream.read_line(&mut line)?;
            let line = line.trim_end().to_ascii_lowercase();
            if line.is_empty() {
                break;
            }
            if let Some(told) = line.strip_prefix("content-length:") {
                length = told.trim().parse().context("a length")?;
            }
        }
        let mut answer = vec![0; length];
        self.stream.read_exact(&mut answer)?;
        if !status.starts_with("HTTP/1.1 2") {
            bail!("{method} {path}: {status}{}", String::from_utf8_lossy(&answer));
        }
        Ok(answer)
    }
}
