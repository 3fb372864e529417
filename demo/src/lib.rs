//! The invented scenario: its visits and the generators of its photographs.

pub mod drive;
pub mod face;
pub mod large;
pub mod photograph;
pub mod scenario;
