//! The office's Debian package, and a clean machine that lives with it.

use std::{fs, path::PathBuf};

use anyhow::{Context as _, Result, bail};

use crate::{
    need,
    run::{Steps, cargo, command, output, run, succeeds, target, top},
};

const CARGO_DEB: &str = "3.8.0";
const SUITE: &str = "bookworm";
/// What the guide uses beside the package: a service manager, a client, a proxy, and what makes a certificate to try.
const INCLUDED: &str = "systemd-sysv,ca-certificates,curl,nginx-light,openssl";
/// In the clean root, where the guide is lived.
const SCRIPT: &str = "root/guide.sh";
const SAID: &str = "root/said";
const ENDED: &str = "root/ended";
/// Runs the guide once when that machine has started, then ends it.
const UNIT: &str = "[Unit]\nAfter=multi-user.target\n\n[Service]\nType=oneshot\nWorkingDirectory=/root\n\
                    Environment=HOME=/root\nStandardOutput=file:/root/said\nStandardError=inherit\n\
                    ExecStart=/bin/sh -c 'bash /root/guide.sh; echo $? >/root/ended'\n\
                    ExecStopPost=/bin/systemctl --no-block poweroff\n\n[Install]\nWantedBy=multi-user.target\n";

fn cargo_deb() -> PathBuf {
    top().join(".tools/cargo-deb/bin/cargo-deb")
}

/// Whether the pinned one is there.
pub fn has_cargo_deb() -> bool {
    output(command(cargo_deb()).arg("--version")).is_ok_and(|version| version.trim().ends_with(CARGO_DEB))
}

/// Builds it in the checkout's own folder.
pub fn install_cargo_deb() -> Result<()> {
    run(cargo()
        .args(["install", "cargo-deb", "--locked", "--version", CARGO_DEB, "--root"])
        .arg(top().join(".tools/cargo-deb")))
}

/// Builds the package; with `check` a clean machine installs it and lives the guide.
pub fn run_package(check: bool) -> Result<()> {
    need::meet(if check { need::FOR_PACKAGE_CHECK } else { need::FOR_PACKAGE })?;
    let mut steps = Steps::default();
    steps.step("package", || build(check))?;
    if check {
        steps.step("clean root", make_root)?;
        steps.step("guide", live_guide)?;
    }
    steps.print();
    Ok(())
}

fn package() -> PathBuf {
    target().join("debian/rimside.deb")
}

/// Builds it; to be tried with the program that the tests have built already, since installing and starting it is the same.
fn build(to_be_tried: bool) -> Result<()> {
    let (build, profile): (&[&str], _) = if to_be_tried {
        // Built as for all tests, so that nothing is built twice.
        (&["test", "--workspace", "--locked", "--no-run", "--test", "metrics"], "dev")
    } else {
        (&["build", "--release", "--package", "rimside-cli", "--locked"], "release")
    };
    run(cargo().args(build))?;
    let mut deb = command(cargo_deb());
    deb.args(["--package", "rimside-cli", "--locked", "--no-build", "--profile", profile, "--output"]).arg(package());
    if top().join("ui/dist/index.html").is_file() {
        deb.args(["--variant", "pages"]);
    } else {
        println!("  without the pages: `cargo xtask pages` builds them first");
    }
    run(&mut deb)?;
    run(command("dpkg-deb").arg("--info").arg(package()))
}

/// A Debian with nothing of ours on it, made once and kept.
fn pristine() -> PathBuf {
    target().join("package").join(SUITE)
}

fn make_root() -> Result<()> {
    if pristine().is_dir() {
        println!("  it is kept in {}", pristine().display());
        return Ok(());
    }
    if output(command("id").arg("-u"))?.trim() != "0" {
        bail!("a clean root is made and started by an administrator: run this as root");
    }
    let begun = pristine().with_extension("begun");
    if begun.is_dir() {
        fs::remove_dir_all(&begun)?;
    }
    fs::create_dir_all(&begun)?;
    let include = format!("--include={INCLUDED}");
    run(command("debootstrap").args(["--variant=minbase", &include, SUITE]).arg(&begun))?;
    fs::rename(&begun, pristine()).context("the clean root could not be kept")
}

/// Copies the clean root, puts package and guide in, starts it as a machine of its own without a network, and reads what the
/// guide's commands came to.
fn live_guide() -> Result<()> {
    let root = target().join("package/tried");
    if root.is_dir() {
        fs::remove_dir_all(&root)?;
    }
    run(command("cp").arg("-a").arg(pristine()).arg(&root))?;
    fs::copy(package(), root.join("root/rimside.deb"))?;
    fs::write(root.join(SCRIPT), guide()?)?;
    let unit = "etc/systemd/system/guide.service";
    fs::write(root.join(unit), UNIT)?;
    let wanted = root.join("etc/systemd/system/multi-user.target.wants");
    fs::create_dir_all(&wanted)?;
    std::os::unix::fs::symlink(format!("/{unit}"), wanted.join("guide.service"))?;
    let mut machine = command("timeout");
    machine.args([
        "300",
        "systemd-nspawn",
        "--quiet",
        "--register=no",
        "--keep-unit",
        "--private-network",
        "--console=read-only",
    ]);
    let booted = succeeds(machine.arg("--directory").arg(&root).arg("--boot"));
    let said = fs::read_to_string(root.join(SAID)).unwrap_or_default();
    println!("{said}");
    match fs::read_to_string(root.join(ENDED)).as_deref().map(str::trim) {
        Ok("0") if booted => Ok(()),
        Ok("0") => bail!("the guide was lived, and the machine did not end well"),
        Ok(code) => bail!("a command of docs/one-machine.md ended with {code}; what it said stands above"),
        Err(_) => bail!("the machine in {} did not come so far as to live the guide", root.display()),
    }
}

/// Every block of the guide that is for a shell, in its order, as one script that ends where a command fails.
fn guide() -> Result<String> {
    let text = fs::read_to_string(top().join("docs/one-machine.md"))?;
    let mut script = "set -euxo pipefail\n".to_owned();
    let mut blocks = 0;
    let mut is_inside = false;
    for line in text.lines() {
        match line {
            "```sh" => {
                (is_inside, blocks) = (true, blocks + 1);
            }
            "```" => is_inside = false,
            line if is_inside => script.extend([line, "\n"]),
            _ => {}
        }
    }
    println!("  {blocks} blocks of commands");
    if blocks == 0 {
        bail!("docs/one-machine.md has no block of commands");
    }
    Ok(script)
}
