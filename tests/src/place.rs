//! Where the checkout and its outside programs are.

use std::path::{Path, PathBuf};

use anyhow::{Result, bail};

/// The checkout's top folder.
pub fn top() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().map_or_else(PathBuf::new, Path::to_owned)
}

/// A program that `cargo xtask setup` installs inside the checkout.
///
/// # Errors
/// It is not there; the error says which command installs it.
pub fn tool(name: &str) -> Result<PathBuf> {
    let path = top().join(".tools").join(name);
    if !path.exists() {
        bail!("{name} is not installed; run `cargo xtask setup`");
    }
    Ok(path)
}
