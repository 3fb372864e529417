//! Journeys, outside checks and golden files. Here: how outside programs are run and asked.

mod ask;
mod compare;
pub mod elsewhere;
mod fixed_world;
pub mod fuzzed;
mod golden;
mod place;
mod sealed;

pub use ask::{Judgement, ask_openssl, ask_pdfluent, ask_pdfsig, ask_pyhanko, check_with_qpdf, draw_pages, read_text};
pub use compare::{Difference, compare_pictures};
pub use fixed_world::FixedWorld;
pub use golden::compare_golden;
pub use place::{tool, top};
pub use sealed::{Sealed, seal_last_visit};
