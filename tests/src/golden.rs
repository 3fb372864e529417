//! Files that a person looked at once.

use anyhow::{Context as _, Result, bail};

use crate::top;

/// Compares a text with the golden file of this name under `tests/golden`. With `RIMSIDE_GOLDEN=write` in the
/// environment, as `cargo xtask golden` sets it, the file is written instead.
///
/// # Errors
/// The file is missing or says something else; the error names the first line that differs.
pub fn compare_golden(name: &str, text: &str) -> Result<()> {
    let path = top().join("tests/golden").join(name);
    if std::env::var_os("RIMSIDE_GOLDEN").is_some_and(|mode| mode == "write") {
        return std::fs::write(&path, text).with_context(|| format!("{} cannot be written", path.display()));
    }
    let looked_at = std::fs::read_to_string(&path)
        .with_context(|| format!("{} is missing; `cargo xtask golden` writes it", path.display()))?;
    if looked_at == text {
        return Ok(());
    }
    let (mut old, mut new) = (looked_at.lines(), text.lines());
    for line in 1.. {
        match (old.next(), new.next()) {
            (None, None) => bail!("{name} differs in its line ends"),
            (one, other) if one == other => {}
            (one, other) => {
                bail!("{name}, line {line}: expected {:?}, got {:?}", one.unwrap_or(""), other.unwrap_or(""))
            }
        }
    }
    Ok(())
}
