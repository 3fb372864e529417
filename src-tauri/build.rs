//! The window's permissions, and a page that says what is missing where the pages were not built yet.

use std::{fs, path::Path};

const PLACEHOLDER: &str = "<!doctype html><title>Rimside</title><p>The pages are not built: run cargo xtask pages.</p>";

fn main() -> std::io::Result<()> {
    let pages = Path::new("../ui/dist-window");
    if !pages.join("index.html").exists() {
        fs::create_dir_all(pages)?;
        fs::write(pages.join("index.html"), PLACEHOLDER)?;
    }
    println!("cargo:rerun-if-changed={}", pages.display());
    let commands = tauri_build::AppManifest::new().commands(&["bring", "ask", "step", "stop", "carry", "save"]);
    tauri_build::try_build(tauri_build::Attributes::new().app_manifest(commands)).map_err(std::io::Error::other)
}
