//! The office over HTTP: the log's files for everybody, receipts for the devices that were let in.

mod admit;
mod answer;
mod listen;
mod rate;
mod routes;
mod sync;
mod tls;

pub use listen::{Limits, serve, serve_tls};
pub use rate::Rate;
pub use routes::{Office, routes};
pub use tls::{Tls, TlsError, TlsFiles};
