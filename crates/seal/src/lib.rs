//! Keys, certificates, the PDF signature and the strict reader that checks it. Uses nothing of ours.

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
pub mod trust;
pub mod verdict;
