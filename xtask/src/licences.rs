//! That every dependency's licence is one of `deny.toml`'s list.

use anyhow::{Result, bail};
use serde_json::Value;

use crate::run::{cargo, output, top};

/// Reads `cargo metadata` and `deny.toml` and compares.
pub fn check() -> Result<()> {
    let deny = std::fs::read_to_string(top().join("deny.toml"))?;
    let list = deny.split("allow = [").nth(1).and_then(|rest| rest.split(']').next()).unwrap_or_default();
    let allowed: Vec<_> = list.split('"').skip(1).step_by(2).collect();
    let metadata: Value =
        serde_json::from_str(&output(cargo().args(["metadata", "--format-version", "1", "--locked"]))?)?;
    let packages = metadata["packages"].as_array().cloned().unwrap_or_default();
    let refused: Vec<_> = packages
        .iter()
        .filter(|package| !is_allowed(package["license"].as_str().unwrap_or_default(), &allowed))
        .map(|package| format!("{} {}: {}", package["name"], package["version"], package["license"]))
        .collect();
    println!("  {} packages", packages.len());
    if packages.is_empty() || !refused.is_empty() {
        bail!("licences that deny.toml does not allow:\n  {}", refused.join("\n  "));
    }
    Ok(())
}

/// One `OR` alternative all of whose `AND` parts are allowed.
fn is_allowed(expression: &str, allowed: &[&str]) -> bool {
    let plain = expression.replace('/', " OR ").replace(['(', ')'], "");
    plain.split(" OR ").any(|choice| choice.split(" AND ").all(|part| allowed.contains(&part.trim())))
}
