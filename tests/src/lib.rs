//! Journeys, outside checks and golden files. Here: how outside programs are run and asked.

mod ask;
pub mod fuzzed;
mod place;

pub use ask::{Judgement, ask_openssl, ask_pdfsig, ask_pyhanko, check_with_qpdf, draw_pages, read_text};
pub use place::{tool, top};
