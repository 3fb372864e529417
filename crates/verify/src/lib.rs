//! The four questions about a sealed report, and the headline that follows from them.
//!
//! 1. *Unchanged?* Every byte is the signed one, and the record inside gives the very same file when it is reckoned
//!    and drawn again.
//! 2. *Whose?* The signer's certificate leads to a root that the reader brought.
//! 3. *Since when?* A proof of time, or else only the signer's own clock.
//! 4. *Does it still stand?* Neither withdrawn nor superseded, as far as the reader's own files tell.
//!
//! A condition statement of a dealer is checked in the same way; the report that it rests on has a verdict of its own.
//!
//! Each is passed, failed with a reason, or not checked with a reason; a table gives the headline. `Genuine` means
//! unaltered and whose; it never means true or safe.
//!
//! [`check_signature`] answers at once what the signature can tell; [`check_fully`] also draws the pages again and
//! needs the feature `rerender`, without which this crate links no renderer. Nothing here reads a clock or a file, and
//! nothing that decides on trust comes from the file under test.

mod assemble;
mod check;
#[cfg(feature = "rerender")]
mod difference;
#[cfg(feature = "rerender")]
mod gate;
mod gate_codes;
mod headline;
mod indication;
mod kind;
#[cfg(feature = "rerender")]
mod statement_gate;
mod trust_texts;
mod verdict;
mod witness_policy;
mod words;

#[cfg(feature = "rerender")]
pub use check::check_fully;
pub use check::check_signature;
pub use headline::Headline;
pub use indication::{Indication, MainIndication};
pub use seal::trust::Trust;
pub use trust_texts::{TrustError, TrustTexts};
pub use verdict::{Answer, Asked, Details, Identified, Questions, Remark, Root, SignedBy, Verdict};
pub use witness_policy::{PolicyError, WitnessPolicy};
