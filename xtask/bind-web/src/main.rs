//! Writes the JavaScript side of the WebAssembly module, for Node: `bind-web MODULE FOLDER`.

use anyhow::{Context as _, Result};
use wasm_bindgen_cli_support::Bindgen;

fn main() -> Result<()> {
    let mut arguments = std::env::args().skip(1);
    let module = arguments.next().context("expected the module's path")?;
    let folder = arguments.next().context("expected the folder to write to")?;
    Bindgen::new().input_path(module).nodejs(true)?.typescript(true).generate(folder)
}
