//! The courier without a network: notebooks and an office in memory, and every answer that there is.
#![allow(clippy::unwrap_used, clippy::panic, reason = "a test may stop where its own ground is missing")]

mod book;
mod desk;
mod fetching;
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
