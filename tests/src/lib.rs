//! Journeys, outside checks and golden files.
