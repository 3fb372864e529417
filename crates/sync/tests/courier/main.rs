//! The courier without a network: notebooks and an office in memory, every answer that there is, and histories in which
//! all goes wrong.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop where its own ground is missing")]

mod book;
mod desk;
mod fetching;
mod firm;
mod histories;
mod messages;
mod office;
mod order;
mod paper;
mod pauses;
mod refusals;
mod reports;
mod rows;
mod stamps;
mod waiting;
