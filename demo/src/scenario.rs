//! The invented scenario: a firm in an invented port town, one invented car, three visits over two years.
//!
//! The truth of each visit is written down as [`state`]; findings, readings and photographs follow from it, so that
//! what the program reckons can be held against what was put in.

pub mod car;
mod findings;
pub mod people;
mod photographs;
mod readings;
mod road;
pub mod state;
mod visit;

pub use photographs::{DrawnPhotograph, draw_photographs, list_shots};
pub use visit::{Visit, VisitError, inspect, visits};
