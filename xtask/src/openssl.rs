//! An OpenSSL that knows Ed25519 in CMS (3.6 and newer; Debian 12 has 3.0), built from the sources that the crate
//! `openssl-src` carries. Only the command-line program is built, with what a signature's check needs.

use std::path::PathBuf;
use std::process::Command;

use anyhow::{Context as _, Result};
use serde_json::Value;

use crate::run::{cargo, command, output, run, succeeds, top};

const CONFIGURE: &[&str] = &[
    "linux-x86_64",
    "-O1",
    "no-shared",
    "no-module",
    "no-tests",
    "no-docs",
    "no-asm",
    "no-dso",
    "no-engine",
    "no-legacy",
    "no-fips",
    "no-quic",
    "no-http",
    "no-cmp",
    "no-ct",
    "no-ocsp",
    "no-sock",
    "no-dtls",
    "no-ssl3",
    "no-tls1",
    "no-tls1_1",
    "no-srp",
    "no-psk",
    "no-sm2",
    "no-sm3",
    "no-sm4",
    "no-aria",
    "no-camellia",
    "no-cast",
    "no-des",
    "no-idea",
    "no-rc2",
    "no-rc4",
    "no-rc5",
    "no-seed",
    "no-bf",
    "no-gost",
    "no-md4",
    "no-mdc2",
    "no-rmd160",
    "no-whirlpool",
    "no-blake2",
    "no-argon2",
    "no-ml-dsa",
    "no-ml-kem",
    "no-slh-dsa",
    "no-lms",
    "no-dh",
    "no-dsa",
    "no-ec2m",
    "no-zlib",
    "no-zstd",
    "no-brotli",
    "no-comp",
    "no-afalgeng",
    "no-async",
    "no-autoload-config",
];

/// Where the program is built.
fn folder() -> PathBuf {
    top().join(".tools/openssl")
}

/// Whether it was built and starts.
pub fn is_built() -> bool {
    succeeds(command(folder().join("apps/openssl")).arg("version"))
}

/// Builds it; about a minute on two cores.
pub fn build() -> Result<()> {
    let metadata: Value =
        serde_json::from_str(&output(cargo().args(["metadata", "--format-version", "1", "--locked"]))?)?;
    let manifest = metadata["packages"]
        .as_array()
        .into_iter()
        .flatten()
        .find(|package| package["name"] == "openssl-src")
        .and_then(|package| package["manifest_path"].as_str())
        .context("the lock file does not name openssl-src")?;
    let source = PathBuf::from(manifest).with_file_name("openssl");
    std::fs::create_dir_all(folder())?;
    // What Configure and make say is long and of use only when something fails.
    let log = folder().join("build.log");
    let quiet = |command: &mut Command| -> Result<()> {
        let file = std::fs::File::create(&log)?;
        let done = run(command.current_dir(folder()).stdout(file.try_clone()?).stderr(file));
        done.with_context(|| format!("{} says why", log.display()))
    };
    quiet(command("perl").arg(source.join("Configure")).args(CONFIGURE))?;
    quiet(command("make").args(["-s", "-j2", "build_generated"]))?;
    quiet(command("make").args(["-s", "-j2", "apps/openssl"]))
}
