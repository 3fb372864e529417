//! The invented scenario: its visits and the generators of its photographs.

pub mod photograph;
pub mod scenario;
