//! Canonical JSON (RFC 8785): one form for one value, so that a digest means something.

use serde::Serialize;

/// A value that has no canonical form.
#[derive(Debug, thiserror::Error)]
#[error("the value has no canonical JSON form: {0}")]
pub struct CanonicalError(#[from] serde_json::Error);

/// The canonical JSON (RFC 8785) of this value: UTF-8, keys in UTF-16 order, numbers as ECMAScript prints them.
///
/// # Errors
/// A value with a number that is not finite, or a map with keys that are no text.
pub fn canonical_json<T: Serialize>(value: &T) -> Result<Vec<u8>, CanonicalError> {
    Ok(serde_json_canonicalizer::to_vec(value)?)
}
