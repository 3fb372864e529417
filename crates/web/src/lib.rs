//! The field app's core as WebAssembly: the browser's shell around the door. It decides nothing.

#[cfg(target_arch = "wasm32")]
mod page;
