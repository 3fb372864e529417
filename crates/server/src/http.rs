//! The office over HTTP: what it shows to everybody, what it shows to whoever has a link, what it does for the devices that
//! were let in.

mod answer;
mod certificates;
mod desk;
mod links;
mod listen;
mod reports;
mod routes;
mod sync;

pub use listen::{Limits, serve};
pub use routes::{Office, routes};
