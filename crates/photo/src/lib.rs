//! Photographs: the copy that a report carries, its metadata, its quality. Pure.
