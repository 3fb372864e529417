//! What every entry is stamped with.

use model::{Line, Salt, Timestamp};

/// What comes from outside with everything that is written.
#[derive(Debug, Clone)]
pub struct Stamp {
    /// The device's clock.
    pub at: Timestamp,
    /// Who writes.
    pub author: Line,
    /// Fresh random bytes.
    pub salt: Salt,
}
