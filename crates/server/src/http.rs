//! The office over HTTP: the log's files for everybody, receipts for the devices that were let in.

mod answer;
mod listen;
mod routes;
mod sync;

pub use listen::{Limits, serve};
pub use routes::{Office, routes};
