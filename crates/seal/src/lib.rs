//! Keys, certificates, the PDF signature and the strict reader that checks it. Uses nothing of ours.
//!
//! Read it in this order:
//!
//! 1. [`key`], [`key_file`]: Ed25519, checked strictly in one place; private keys encrypted at rest.
//! 2. [`certificate`], [`chain`], [`revocation`]: a firm's small tree of root, issuer and people.
//! 3. [`signature`]: CMS in one shape; everything expected once, nothing else.
//! 4. [`file`](mod@file): one profile of PDF, every byte accounted for.
//! 5. [`receipt`], [`timestamp`], [`statement`]: what a firm's log, an authority and its people say of a report later.
//! 6. [`sealing`], [`check`], with [`trust`] (what a reader brings along) and [`verdict`] (what was found).
//!
//! There is no clock, file, network or randomness inside; they come in as arguments. Failures have stable codes in
//! kebab case. A check never panics, whatever bytes it is given.

#[cfg(test)]
extern crate self as seal;

mod asn1;
pub mod certificate;
pub mod chain;
pub mod check;
pub mod digest;
pub mod file;
#[cfg(test)]
mod fixture;
pub mod key;
pub mod key_file;
pub mod receipt;
pub mod revocation;
pub mod sealing;
pub mod signature;
pub mod statement;
pub mod timestamp;
pub mod trust;
pub mod verdict;
