//! What device and office say to each other, without a network, a clock or a store: the messages, and the [`Courier`] that
//! decides what a device asks next.
//!
//! A device numbers its entries without gaps, so "how far are you" is a number. The office gives what it took in an order of
//! its own (a count, never a clock), and a device remembers how far of that it has seen. Photographs and recordings go by
//! their digests, piece by piece, after the entries that speak of them; a sealed report is receipted first and goes before
//! them. Everything may be asked twice.

mod courier;
mod message;
mod pause;

pub use courier::{Answered, Book, Courier, Errand, Halt, Method, Next, OwnReport, Waiting};
pub use message::{
    Answer, Ask, Awaited, Bring, Brought, Fetches, Finish, Follow, Forked, Issued, Kind, MOST_ASKED_BYTES,
    MOST_BLOB_BYTES, MOST_ENTRY_BYTES, MOST_REPORT_BYTES, MOST_UNSTAMPED, PIECE_BYTES, Sealed, Stamp, State, Wanted,
    content_digest, named_blob, pieces, tell_digest,
};
pub use pause::pause_ms;
