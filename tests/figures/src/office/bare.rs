//! The bare program: it receives, hashes, writes and syncs, and nothing else.

use std::{
    fs::File,
    io::{BufRead as _, BufReader, Read as _, Write as _},
    net::{TcpListener, TcpStream},
    path::Path,
    process::{Child, Command, Stdio},
};

use anyhow::{Context as _, Result, bail};
use sha2::{Digest as _, Sha256};

/// As large as the office's pieces.
const PIECE: usize = 1 << 20;

/// Runs as the bare program: one connection, on which each file comes as its length and its bytes, and its digest goes back
/// when it is on the disk.
pub fn receive(folder: &Path) -> Result<()> {
    let listener = TcpListener::bind("127.0.0.1:0")?;
    println!("{}", listener.local_addr()?);
    let (mut stream, _) = listener.accept()?;
    stream.set_nodelay(true)?;
    let mut buffer = vec![0; PIECE];
    for nth in 0_u64.. {
        let mut length = [0; 8];
        // The other side is done.
        if stream.read_exact(&mut length).is_err() {
            break;
        }
        let mut left = u64::from_be_bytes(length) as usize;
        let mut file = File::create(folder.join(nth.to_string()))?;
        let mut digest = Sha256::new();
        while left > 0 {
            let part = &mut buffer[..left.min(PIECE)];
            stream.read_exact(part)?;
            digest.update(&*part);
            file.write_all(part)?;
            left -= part.len();
        }
        file.sync_all()?;
        stream.write_all(&digest.finalize())?;
    }
    Ok(())
}

/// The bare program as a process of its own.
pub struct Bare {
    child: Child,
    stream: TcpStream,
}

impl Bare {
    pub fn start(folder: &Path) -> Result<Self> {
        std::fs::create_dir_all(folder)?;
        let program = std::env::current_exe()?;
        let mut child = Command::new(program).arg("--receive").arg(folder).stdout(Stdio::piped()).spawn()?;
        let mut line = String::new();
        BufReader::new(child.stdout.take().context("a pipe")?).read_line(&mut line)?;
        let stream = TcpStream::connect(line.trim()).with_context(|| format!("the bare program said {line:?}"))?;
        stream.set_nodelay(true)?;
        Ok(Self { child, stream })
    }

    /// Sends a file; it is on the disk when this returns.
    pub fn send(&mut self, bytes: &[u8], sha256: &[u8; 32]) -> Result<()> {
        self.stream.write_all(&(bytes.len() as u64).to_be_bytes())?;
        self.stream.write_all(bytes)?;
        let mut digest = [0; 32];
        self.stream.read_exact(&mut digest)?;
        if digest != *sha256 {
            bail!("the bare program received other bytes");
        }
        Ok(())
    }
}

impl Drop for Bare {
    fn drop(&mut self) {
        // It may be gone already.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
