//! The browser's shell: rendering and verifying as WebAssembly.
