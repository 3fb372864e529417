//! The office over HTTP: what it shows to everybody, what it shows to whoever has a link, what it does for the devices that
//! were let in.

mod admit;
mod answer;
mod certificates;
mod desk;
mod links;
mod listen;
mod rate;
mod reports;
mod routes;
mod sync;
mod tls;

pub use listen::{Limits, serve, serve_tls};
pub use rate::Rate;
pub use routes::{Office, routes};
pub use tls::{Tls, TlsError, TlsFiles};
