//! The device's store: entries, photographs, drafts, sealed reports.
//!
//! An inspector's paper notebook is never rubbed out, only struck through, and so is this one. An [`Entry`] is
//! immutable; a later one replaces it. An inspection is a fold over its entries ([`Draft`]); two values that no entry
//! replaces are a conflict, which a person settles. Each device numbers its entries without gaps and chains salted
//! hashes of their bodies, so that a body can be erased and the chain still be proven.
//!
//! Nothing here has a clock or draws randomness: both come in with a [`Stamp`].

mod draft;
mod error;
mod fold;
mod path;
mod shape;
mod stamp;
mod store;

pub use draft::{Claimant, Conflict, Draft};
pub use error::NotebookError;
pub use fold::{Folded, Gap, fold, unfold};
pub use path::{FieldError, check_field};
pub use stamp::Stamp;
pub use store::{
    Damage, Kept, Line as InspectionLine, LookedThrough, Notebook, Photo, Salvaged, Standing, Taken, files::FileAccess,
    reports::Report,
};

pub use model::{Carried, Change, Entry, EntryId};
pub use rusqlite::{Connection, ErrorCode};
