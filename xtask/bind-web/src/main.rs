//! Writes the JavaScript side of the WebAssembly module: `bind-web node|page MODULE FOLDER`.

use anyhow::{Context as _, Result, bail};
use wasm_bindgen_cli_support::Bindgen;

fn main() -> Result<()> {
    let mut arguments = std::env::args().skip(1);
    let target = arguments.next().context("expected node or page")?;
    let module = arguments.next().context("expected the module's path")?;
    let folder = arguments.next().context("expected the folder to write to")?;
    let mut bindgen = Bindgen::new();
    match target.as_str() {
        "node" => bindgen.nodejs(true)?,
        "page" => bindgen.web(true)?.omit_default_module_path(false),
        other => bail!("got {other}, expected node or page"),
    };
    bindgen
        .input_path(module)
        .typescript(true)
        .remove_name_section(true)
        .remove_producers_section(true)
        .generate(folder)
}
