//! A firm's public log: append-only, of digests and times, in the formats C2SP `tlog-tiles` and `tlog-checkpoint` over the
//! tree of RFC 6962; and what it says to its witnesses (`tlog-witness`). Small enough to be read whole, so a reader asks [`audit`] and trusts nobody's summary.
//!
//! Pure: bytes come in and go out; who keeps them keeps them elsewhere.

mod audit;
mod entry;
mod standing;
mod tile;
mod tree;
mod witness;

pub use audit::{AuditFault, Audited, audit};
pub use entry::{Entry, EntryKind};
pub use seal::receipt::{Checkpoint, LogKey, Receipt, WitnessKey, leaf_hash, node_hash};
pub use standing::{ISSUER, LOG_KEY, Papers, REVOKED, ROOT, STATEMENTS, Standing, StandingFault, statement_path};
pub use tile::{
    BUNDLE, CHECKPOINT, MOST_ENTRY_BYTES, TileFile, bundle_path, list_paths, list_tiles, read_bundle, tile_path,
};
pub use tree::{Tree, leads_on};
pub use witness::{AddCheckpoint, WitnessRefusal};
