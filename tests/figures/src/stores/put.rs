//! Photographs through the office to a store of objects, and straight to it.

use std::{
    io::{BufRead as _, BufReader, Read as _, Write as _},
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
    straight: BufReader<TcpStream>,
    host: String,
    kept: u64,
}

impl Put {
    pub fn new(office: &str, endpoint: &str) -> Result<Self> {
        let host = endpoint.trim_start_matches("http://").to_owned();
        let stream = TcpStream::connect(&host)?;
        stream.set_nodelay(true)?;
        // A device of its own: the others push entries.
        let photographs = Photographs::open(office, super::DEVICES)?;
        Ok(Self { photographs, straight: BufReader::new(stream), host, kept: 0 })
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

    fn put(&mut self, bytes: &[u8]) -> Result<()> {
        self.kept += 1;
        let stream = self.straight.get_mut();
        write!(
            stream,
            "PUT /{BUCKET}/straight/{} HTTP/1.1\r\nHost: {}\r\nContent-Length: {}\r\n\r\n",
            self.kept,
            self.host,
            bytes.len()
        )?;
        stream.write_all(bytes)?;
        let (mut status, mut length) = (String::new(), 0);
        if self.straight.read_line(&mut status)? == 0 {
            // It closes a connection after each answer: another one.
            bail!("the store of objects keeps no connection open");
        }
        loop {
            let mut line = String::new();
            self.straight.read_line(&mut line)?;
            let line = line.trim_end().to_ascii_lowercase();
            if line.is_empty() {
                break;
            }
            if let Some(told) = line.strip_prefix("content-length:") {
                length = told.trim().parse()?;
            }
        }
        let mut rest = vec![0; length];
        self.straight.read_exact(&mut rest)?;
        if !status.contains(" 200") {
            bail!("the store of objects answers {status}");
        }
        Ok(())
    }
}
