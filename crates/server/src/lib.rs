//! The office. So far: its stores, and the public log that it keeps of what was issued, withdrawn, superseded and revoked.
//!
//! Every row and every file has the firm in its key. Stores are traits with a suite of what each must keep to
//! ([`conformance`]); what stands behind them today is SQLite and a folder.

pub mod conformance;
mod enrol;
mod entering;
mod exchange;
mod gathering;
mod http;
mod keeper;
mod office;
mod store;
mod witness;

pub use enrol::{CODE_MINUTES, CODE_TRIES, OfficeWorld, digest_token, let_in, make_code};
pub use entering::{EnterError, read_kind};
pub use exchange::{ExchangeError, exchange};
pub use gathering::{AskWitness, AskedWitness, HttpWitness, WitnessLineError, parse_witnesses, spell_witness};
pub use http::{Limits, Office, routes, serve};
pub use keeper::{Entered, KeepError, LogKeeper};
pub use log;
pub use office::{LogFolder, LogFolderError};
pub use store::{
    Blobs, Device, Devices, EntryRows, FirmId, FirmIdError, FolderBlobs, FolderShelf, Fork, Joined, LogRows,
    NewEntries, Part, RowEnd, SecretDigest, Shelf, SqliteRows, StoreError,
};
pub use sync;
pub use witness::{Witness, WitnessError, WitnessFolder, WitnessFolderError, witness_routes};
