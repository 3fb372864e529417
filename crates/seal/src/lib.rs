//! Keys, certificates, the PDF signature and the strict reader that checks it. Uses nothing of ours.

mod asn1;
pub mod certificate;
pub mod chain;
pub mod digest;
pub mod file;
#[cfg(test)]
mod fixture;
pub mod key;
pub mod key_file;
pub mod receipt;
pub mod revocation;
pub mod signature;
