//! The operations, each once: every shell's one door.
