//! The office. So far: its stores, and the public log that it keeps of what was issued, withdrawn, superseded and revoked.
//!
//! Every row and every file has the firm in its key. Stores are traits with a suite of what each must keep to
//! ([`conformance`]); what stands behind them is SQLite and a folder, or PostgreSQL and a store of objects.

mod address;
mod authority;
mod backup;
pub mod conformance;
mod enrol;
mod entering;
mod exchange;
mod gathering;
mod http;
mod keeper;
mod link;
mod metrics;
mod moving;
mod office;
pub mod papers;
mod settings;
mod stamping;
mod store;
mod stores;
mod taking;
mod tidying;
mod witness;

pub use address::{Address, AddressError, Answered};
pub use authority::{AUTHORITY_LIMIT, AskAuthority, AuthorityError, HttpAuthority};
pub use backup::{BackedUp, BackupError, RestoreError, Restored, back_up_office, restore_office};
pub use enrol::{CODE_MINUTES, CODE_TRIES, OfficeWorld, digest_token, let_in, make_code};
pub use entering::{EnterError, may_enter, read_kind, read_statement};
pub use exchange::{ExchangeError, exchange};
pub use gathering::{AskWitness, AskedWitness, HttpWitness, WitnessLineError, parse_witnesses, spell_witness};
pub use http::{
    Counter, Limits, Office, Rate, Tls, TlsError, TlsFiles, describe_api, routes, serve, serve_at, serve_tls,
};
pub use keeper::{Entered, KeepError, LogKeeper};
pub use link::{Shows, ShowsError};
pub use log;
pub use metrics::{Metrics, metrics_routes};
pub use moving::{MoveError, MovedOffice, Way, move_office};
pub use office::{LogFolder, LogFolderError};
pub use settings::{Effective, Origin, SETTINGS, Settings, SettingsError, VARIABLES, read_settings};
pub use stamping::{Stamped, Stamper, stamp_reports};
pub use store::{
    AllRows, Blobs, CertificateRow, Certificates, Database, Device, Devices, Digested, EntryRows, FirmId, FirmIdError,
    FolderBlobs, FolderShelf, Fork, Given, Joined, LetterRow, Letters, Link, Links, LogRows, NewEntries, NewLink,
    NewReport, ObjectBlobs, ObjectShelf, Objects, OfficeRows, Part, Postgres, PostgresRows, ReportRow, ReportRows, Row,
    RowEnd, Rows, SecretDigest, Shelf, Sqlite, SqliteRows, Statements, StoreError, Value,
};
pub use stores::{STORE_VARIABLES, Stores};
pub use sync;
pub use taking::{TakeError, Takes, read_whole, take_report};
pub use tidying::tidy_daily;
pub use witness::{Witness, WitnessError, WitnessFolder, WitnessFolderError, witness_routes};
