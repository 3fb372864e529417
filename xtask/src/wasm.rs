//! The WebAssembly build, with rustup's target where there is one, else with Debian's compiler and its sources.

use std::path::Path;
use std::process::Command;

use anyhow::Result;

use crate::run::{cargo, command, output, run, succeeds, target, top};

const TARGET: &str = "wasm32-unknown-unknown";
const DEBIAN_RUSTC: &str = "/usr/bin/rustc";
const DEBIAN_CARGO: &str = "/usr/bin/cargo";

/// Whether the checkout's toolchain can build for the browser by itself.
pub fn has_rustup_target() -> bool {
    output(command("rustc").args(["--print", "target-libdir", "--target", TARGET]))
        .is_ok_and(|folder| Path::new(folder.trim()).is_dir())
}

/// Whether Debian's compiler for the browser is there with its sources and a linker.
pub fn has_debian_target() -> bool {
    Path::new(DEBIAN_RUSTC).exists()
        && Path::new(DEBIAN_CARGO).exists()
        && Path::new("/usr/bin/clang").exists()
        && output(command(DEBIAN_RUSTC).args(["--print", "sysroot"]))
            .is_ok_and(|folder| Path::new(folder.trim()).join("lib/rustlib/src/rust/library/std").is_dir())
}

/// Asks rustup for the target; its refusal is no error, since there is a second way.
pub fn try_rustup_target() {
    println!("  asking rustup for {TARGET}");
    succeeds(command("rustup").args(["target", "add", TARGET]));
}

/// Vector instructions (WebAssembly 2.0), which every browser has that keeps a notebook: for the photographs' pixels.
const FLAGS: (&str, &str) = ("CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUSTFLAGS", "-C target-feature=+simd128");

/// `cargo build` for the browser, by whichever way this machine has.
fn build_command() -> Command {
    if has_rustup_target() {
        let mut build = cargo();
        build.arg("build").env(FLAGS.0, FLAGS.1);
        return build;
    }
    let mut build = command(DEBIAN_CARGO);
    // Debian's compiler has no built standard library for this target, so it is built along.
    build.args(["build", "-Z", "build-std=std,panic_abort"]);
    build.env(FLAGS.0, FLAGS.1);
    build.env("RUSTC", DEBIAN_RUSTC).env("RUSTC_BOOTSTRAP", "1");
    for name in ["CARGO", "RUSTUP_TOOLCHAIN", "RUSTDOC", "RUSTC_WRAPPER"] {
        build.env_remove(name);
    }
    // rust-lld lies beside the toolchain of the checkout.
    if let Ok(sysroot) = output(command("rustc").args(["--print", "sysroot"])) {
        let linker = Path::new(sysroot.trim()).join("lib/rustlib/x86_64-unknown-linux-gnu/bin");
        let path = std::env::var("PATH").unwrap_or_default();
        build.env("PATH", format!("{path}:{}", linker.display()));
    }
    build
}

/// A module: its package, its features, and where its bindings go, by kind.
struct Module {
    package: &'static str,
    features: &'static str,
    bindings: &'static [(&'static str, &'static str)],
}

/// The pages load the first one to answer at once, the second one to draw again; the third one is the field app's core.
const MODULES: [Module; 3] = [
    Module { package: "rimside-web-verify", features: "", bindings: &[("page", "ui/src/verify/module/signature")] },
    Module {
        package: "rimside-web-verify",
        features: "rerender",
        bindings: &[("page", "ui/src/verify/module/whole"), ("node", "")],
    },
    Module { package: "rimside-web", features: "", bindings: &[("page", "ui/src/core/module")] },
];

/// Builds the modules, with their bindings for pages in `ui/src` and for Node in `target/web/`.
pub fn build() -> Result<()> {
    for Module { package, features, bindings } in &MODULES {
        run(build_command().args([
            "--profile",
            "web",
            "--locked",
            "--target",
            TARGET,
            "--package",
            package,
            "--features",
            features,
        ]))?;
        let module = target().join(TARGET).join("web").join(package.replace('-', "_")).with_extension("wasm");
        for (kind, folder) in *bindings {
            let folder = if *kind == "node" { target().join("web") } else { top().join(folder) };
            run(cargo()
                .args(["run", "--quiet", "--locked", "--package", "bind-web", "--", kind])
                .arg(&module)
                .arg(&folder))?;
        }
    }
    Ok(())
}
