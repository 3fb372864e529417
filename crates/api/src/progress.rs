//! How far a long operation is, in what it counts, and whether it should go on.

use std::{fmt, ops::ControlFlow};

/// What has just been done, or is begun.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Step {
    /// Photographs are ready.
    Photographs {
        /// So many.
        done: usize,
        /// Of so many.
        of: usize,
    },
    /// The pages are being drawn.
    Pages,
    /// The report is being signed.
    Signature,
    /// The report is being written to its place.
    File,
}

impl fmt::Display for Step {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Photographs { done, of } => write!(f, "{done} of {of} photographs"),
            Self::Pages => f.write_str("drawing the pages"),
            Self::Signature => f.write_str("signing"),
            Self::File => f.write_str("writing the report"),
        }
    }
}

/// Told of each step; a break stops the operation before anything is written.
pub type Progress<'a> = &'a (dyn Fn(Step) -> ControlFlow<()> + Sync);

/// Nobody wants to know.
pub fn quietly(_: Step) -> ControlFlow<()> {
    ControlFlow::Continue(())
}
