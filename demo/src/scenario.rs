//! The invented scenario: a firm in an invented port town, one invented car, three visits over two years.
//!
//! How the brakes really are at each visit is written down as [`state`]; findings, readings and photographs follow from
//! it, so that what the program reckons can be held against what was put in.

mod album;
pub mod car;
mod clock;
mod findings;
mod letter;
pub mod people;
mod prices;
mod readings;
mod recordings;
mod road;
pub mod state;
mod statement;
mod visit;

pub use album::{DrawnPhotograph, PlannedPhotograph, draw_photographs, list_shots};
pub use letter::{letter, reply};
pub use recordings::{RoadRecordings, record};
pub use statement::statement;
pub use visit::{Visit, VisitError, inspect, visits};
