//! What findings come to, worked by hand and by property.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop where its own ground is missing")]

mod answer;
mod asymmetry;
mod cause;
mod cost;
mod invariants;
mod life;
mod measured;
mod properties;
mod recorded;
mod roller;
mod sample;
mod warnings;
mod wear;
