//! What must hold for any bytes at all. The fuzz targets demand it of random ones, the ordinary tests of a corpus.

mod certificate;
mod document;
mod message;
mod picture;
mod reader;
mod receipt;
mod recording;
mod signature;

pub use certificate::read_certificate;
pub use document::read_document;
pub use message::read_message;
pub use picture::read_picture;
pub use reader::Reader;
pub use recording::{read_motion, read_position, read_sound};

use std::path::PathBuf;

use crate::top;

/// The folder of one target's corpus.
pub fn corpus(target: &str) -> PathBuf {
    top().join("tests/corpus").join(target)
}
