//! Photographs through the office to a store of objects, and straight to it.

use std::{
    io::{Read as _, Write as _},
    net::TcpStream,
    time::Instant,
};

use anyhow::{Result, bail};
use rimside_tests::elsewhere::BUCKET;

use crate::office::{Photographs, Sent};

/// Photographs of a round.
const COUNT: usize = 10;

pub struct Put {
    photographs: Photographs,
    host: String,
    kept: u64,
}

impl Put {
    pub fn new(office: &str, endpoint: &str) -> Result<Self> {
        let host = endpoint.trim_start_matches("http://").to_owned();
        // A device of its own: the others push entries.
        Ok(Self { photographs: Photographs::open(office, super::DEVICES)?, host, kept: 0 })
    }

    /// The seconds through the office, and straight.
    pub fn measure(&mut self) -> Result<(f64, f64)> {
        let Sent { seconds, bytes } = self.photographs.send(COUNT)?;
        let begun = Instant::now();
        for photograph in &bytes {
            self.put(photograph)?;
        }
        Ok((seconds, begun.elapsed().as_secs_f64()))
    }

    /// One connection for each, as this store closes them: the office's client has to make new ones as well.
    fn put(&mut self, bytes: &[u8]) -> Result<()> {
        self.kept += 1;
        let mut stream = TcpStream::connect(&self.host)?;
        let head = format!(
            "PUT /{BUCKET}/straight/{} HTTP/1.1\r\nHost: {}\r\nContent-Length: {}\r\nConnection: close\r\n\r\n",
            self.kept,
            self.host,
            bytes.len()
        );
        stream.write_all(head.as_bytes())?;
        stream.write_all(bytes)?;
        let mut answer = String::new();
        stream.read_to_string(&mut answer)?;
        if !answer.starts_with("HTTP/1.1 200") {
            bail!("the store of objects answers {}", answer.lines().next().unwrap_or_default());
        }
        Ok(())
    }
}
