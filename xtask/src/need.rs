//! What the commands need on a machine: how to see that it is there, how to install it, what to say otherwise.

use anyhow::{Result, bail};

use crate::run::{command, run, succeeds, top, venv_python};

/// One thing that has to be there.
pub struct Need {
    name: &'static str,
    /// Programs that must start with `--version`-like arguments.
    present: fn() -> bool,
    how: How,
}

enum How {
    /// Debian packages.
    Apt(&'static [&'static str]),
    /// Packages of the Python registry, pinned, in the checkout's own environment.
    Python,
    /// A program built from the sources that a crate carries.
    Build(fn() -> Result<()>),
}

/// Outside programs that judge a sealed report, and libraries that compute what the reckoning computes.
pub const PYTHON: &[&str] = &[
    "babel==2.18.0",
    "colour-science==0.4.7",
    "cryptography==50.0.2",
    "gpxpy==1.6.2",
    "gtc==1.5.1",
    "jsonschema==4.26.0",
    "moto[server]==5.2.5",
    "numpy==2.4.6",
    "opencv-python-headless==5.0.0.93",
    "pdfluent==1.2.0",
    "pillow-heif==1.8.1",
    "prometheus-client==0.26.0",
    "pyhanko==0.38.0",
    "pyhanko-cli==0.6.0",
    "pymerkle==7.0.0",
    "rfc8785==0.1.4",
    "schemathesis==4.32.5",
    "scikit-image==0.26.0",
    "scipy==1.17.1",
    "uncertainties==3.2.3",
    "vininfo==1.11.0",
];

const QPDF: Need = Need { name: "qpdf", present: || starts("qpdf"), how: How::Apt(&["qpdf"]) };
const POPPLER: Need = Need {
    name: "poppler (pdftotext, pdftoppm, pdfsig)",
    present: || starts_with("pdftotext", "-v") && starts_with("pdftoppm", "-v") && starts_with("pdfsig", "-v"),
    how: How::Apt(&["poppler-utils"]),
};
const PYTHON_VENV: Need = Need {
    name: "Python with venv",
    present: || succeeds(command("python3").args(["-c", "import venv, ensurepip"])),
    how: How::Apt(&["python3-venv"]),
};
/// Debian keeps its programs apart by version, off the path; the tests look there too.
const POSTGRESQL: Need = Need {
    name: "PostgreSQL, with its server's programs",
    present: || {
        let versions = std::fs::read_dir("/usr/lib/postgresql").into_iter().flatten().flatten();
        starts("initdb") || versions.into_iter().any(|version| version.path().join("bin/initdb").is_file())
    },
    how: How::Apt(&["postgresql"]),
};
const COMPILER: Need = Need {
    name: "a C compiler, make and perl",
    present: || starts("cc") && starts("make") && starts("perl"),
    how: How::Apt(&["build-essential", "perl"]),
};
const NODE: Need = Need {
    name: "Node 20 or later, with npm",
    present: || {
        let version = crate::run::output(command("node").arg("--version")).unwrap_or_default();
        let major = version.trim().trim_start_matches('v').split('.').next().and_then(|major| major.parse().ok());
        major.is_some_and(|major: u32| major >= 20) && starts("npm")
    },
    how: How::Apt(&["nodejs", "npm"]),
};
/// Where a Chromium may stand; the journeys look at the same places.
const CHROMIUM: Need = Need {
    name: "Chromium",
    present: || ["chromium", "chromium-browser", "google-chrome"].iter().any(|name| starts(name)),
    how: How::Apt(&["chromium"]),
};
const WEBKIT: Need = Need {
    name: "WebKitGTK 4.1, for the desktop's window",
    present: || succeeds(command("pkg-config").args(["--exists", "webkit2gtk-4.1"])),
    how: How::Apt(&["pkg-config", "libwebkit2gtk-4.1-dev"]),
};
const WEBDRIVER: Need = Need {
    name: "WebKitWebDriver and Xvfb, to drive the window",
    present: || succeeds(command("which").arg("WebKitWebDriver")) && succeeds(command("which").arg("Xvfb")),
    how: How::Apt(&["webkit2gtk-driver", "xvfb", "xauth"]),
};
const PAGES: Need =
    Need { name: "the pages' tools", present: crate::pages::has_tools, how: How::Build(crate::pages::install_tools) };
const VALIDATORS: Need = Need {
    name: "outside validators in Python",
    present: || {
        let pinned = PYTHON.join("\n");
        std::fs::read_to_string(top().join(".tools/venv/installed.txt")).is_ok_and(|have| have == pinned)
    },
    how: How::Python,
};
const OPENSSL: Need =
    Need { name: "OpenSSL 3.6, built here", present: crate::openssl::is_built, how: How::Build(crate::openssl::build) };
const WASM_TARGET: Need = Need {
    name: "a WebAssembly target for Rust",
    present: || crate::wasm::has_rustup_target() || crate::wasm::has_debian_target(),
    how: How::Apt(&["rustc-web", "cargo-web", "rust-web-src", "lld", "clang"]),
};
/// The notebook's database is C.
const WASM_COMPILER: Need =
    Need { name: "a C compiler for WebAssembly", present: || starts("clang"), how: How::Apt(&["clang"]) };
const CARGO_DEB: Need = Need {
    name: "cargo-deb",
    present: crate::package::has_cargo_deb,
    how: How::Build(crate::package::install_cargo_deb),
};
/// A whole small Debian, and a way to boot it beside this one.
const CLEAN_ROOT: Need = Need {
    name: "debootstrap and systemd-nspawn",
    present: || starts("debootstrap") && starts("systemd-nspawn"),
    how: How::Apt(&["debootstrap", "systemd-container"]),
};
const VIPS: Need =
    Need { name: "vipsthumbnail", present: || starts("vipsthumbnail"), how: How::Apt(&["libvips-tools"]) };

/// Debian's, since the compiler's own are not to be had everywhere; 19 reads what this compiler counts.
const COVERAGE: Need =
    Need { name: "llvm-profdata and llvm-cov", present: crate::coverage::has_tools, how: How::Apt(&["llvm-19"]) };

/// For `cargo xtask test`.
pub const FOR_TESTS: &[&Need] = &[
    &COMPILER,
    &NODE,
    &PAGES,
    &CHROMIUM,
    &WEBKIT,
    &WEBDRIVER,
    &QPDF,
    &POPPLER,
    &POSTGRESQL,
    &PYTHON_VENV,
    &VALIDATORS,
    &OPENSSL,
    &WASM_TARGET,
    &WASM_COMPILER,
];
/// For `cargo xtask wasm`.
pub const FOR_WASM: &[&Need] = &[&NODE, &WASM_TARGET, &WASM_COMPILER];
/// For `cargo xtask bench`.
pub const FOR_BENCH: &[&Need] =
    &[&COMPILER, &VIPS, &POSTGRESQL, &NODE, &PAGES, &CHROMIUM, &PYTHON_VENV, &VALIDATORS, &WASM_TARGET, &WASM_COMPILER];
/// For `cargo xtask demo --leave`: the C compiler links and compiles the database; the rest is Rust.
pub const FOR_DEMO: &[&Need] = &[&COMPILER];
/// For `cargo xtask package`.
pub const FOR_PACKAGE: &[&Need] = &[&COMPILER, &CARGO_DEB];
/// For `cargo xtask package --check`.
pub const FOR_PACKAGE_CHECK: &[&Need] = &[&COMPILER, &CARGO_DEB, &CLEAN_ROOT];
/// For `cargo xtask coverage`, beside what the tests need: the readers of what was counted.
pub const FOR_COVERAGE: &[&Need] = &[&COVERAGE];
/// For `cargo xtask app`.
pub const FOR_APP: &[&Need] = &[&COMPILER, &NODE, &PAGES, &WEBKIT];
/// For `cargo xtask pages` and `cargo xtask demo`: the field app besides.
pub const FOR_PAGES: &[&Need] = &[&COMPILER, &NODE, &PAGES, &WASM_TARGET, &WASM_COMPILER];

fn starts(program: &str) -> bool {
    starts_with(program, "--version")
}

fn starts_with(program: &str, argument: &str) -> bool {
    succeeds(command(program).arg(argument))
}

/// Installs what is missing, or says how.
pub fn meet(needs: &[&Need]) -> Result<()> {
    // The target can be had from rustup without any rights; Debian's packages are the second way.
    if needs.iter().any(|need| need.name == WASM_TARGET.name) && !(WASM_TARGET.present)() {
        crate::wasm::try_rustup_target();
    }
    let missing: Vec<_> = needs.iter().filter(|need| !(need.present)()).collect();
    for need in needs {
        let state = if missing.iter().any(|other| other.name == need.name) { "missing" } else { "there" };
        println!("  {:<42} {state}", need.name);
    }
    let packages: Vec<_> = missing
        .iter()
        .filter_map(|need| match need.how {
            How::Apt(packages) => Some(packages),
            How::Python | How::Build(_) => None,
        })
        .flatten()
        .copied()
        .collect();
    if !packages.is_empty() {
        install_debian(&packages)?;
    }
    for need in &missing {
        match need.how {
            How::Apt(_) => {}
            How::Python => install_python()?,
            How::Build(build) => build()?,
        }
        if !(need.present)() {
            bail!("{} is still missing after its installation", need.name);
        }
    }
    Ok(())
}

fn install_debian(packages: &[&str]) -> Result<()> {
    let list = packages.join(" ");
    let is_root = crate::run::output(command("id").arg("-u")).is_ok_and(|id| id.trim() == "0");
    if !starts_with("apt-get", "--version") || !is_root {
        bail!(
            "install these first, with the rights of an administrator:\n  apt-get update && apt-get install --no-install-recommends {list}"
        );
    }
    run(command("apt-get").args(["-q", "-y", "update"]))?;
    run(command("apt-get")
        .env("DEBIAN_FRONTEND", "noninteractive")
        .args(["-q", "-y", "install", "--no-install-recommends"])
        .args(packages))
}

fn install_python() -> Result<()> {
    let folder = top().join(".tools/venv");
    run(command("python3").args(["-m", "venv"]).arg(&folder))?;
    run(command(venv_python()).args(["-m", "pip", "install", "--quiet", "--disable-pip-version-check"]).args(PYTHON))?;
    std::fs::write(folder.join("installed.txt"), PYTHON.join("\n"))?;
    Ok(())
}
