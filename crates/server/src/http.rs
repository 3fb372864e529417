//! The office over HTTP: what it shows to everybody, what it shows to whoever has a link, what it does for the devices that
//! were let in.

mod admit;
mod answer;
mod certificates;
mod desk;
mod document;
mod input;
mod links;
mod listen;
mod rate;
mod reports;
mod routes;
mod sync;
mod tls;

pub(crate) use answer::Refusal;
pub use listen::{Counter, Limits, serve, serve_at, serve_tls};
pub use rate::Rate;
pub use routes::{Office, describe_api, routes};
pub use tls::{Tls, TlsError, TlsFiles};
