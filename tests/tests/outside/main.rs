//! What programs that are none of ours say of a sealed report.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop where its own ground is missing")]

mod authority;
mod browser;
mod cms;
mod letter;
mod log;
mod pages;
mod pdf;
mod pdfa;
mod pictures;
mod reckoning;
mod recordings;
mod room;
mod statement;
mod text;
mod timestamp;
mod vininfo;

use std::sync::LazyLock;

use rimside_tests::{Sealed, seal_last_visit};

/// Sealed once for all tests of this run.
static SEALED: LazyLock<Sealed> = LazyLock::new(|| seal_last_visit().unwrap());
