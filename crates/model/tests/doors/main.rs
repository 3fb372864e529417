//! The doors of the nouns: what they let in, what they refuse, and how they say so.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop where its own ground is missing")]

mod canonical;
mod record;
mod refusals;
mod sample;
mod schema;
mod spoilt;
mod vin;
