//! The four questions about a sealed report, and the headline that follows from them.
