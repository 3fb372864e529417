//! The reckoning with its draws: against the bare draws in `NumPy`, and in a browser's machine against this one.

use std::hint::black_box;
use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Stdio};

use anyhow::{Context as _, Result, bail};
use condition::Draws;
use demo::scenario::{inspect, visits};
use model::{CornerReckoning, Figure, Inspection};

use crate::inside::cpu;
use crate::place::Place;
use crate::table::Table;

/// A car whose every disc and pad is reckoned on every rule: the scenario's first visit, as new.
fn inspection() -> Result<Inspection> {
    let [visit, ..] = visits();
    Ok(inspect(&visit, (96, 72))?.0)
}

/// Measures each once.
pub fn measure(place: &Place, table: &mut Table) -> Result<()> {
    let inspection = inspection()?;
    let reckoned = condition::reckon(&inspection);
    table.add(
        "reckoning, whole, 100 000 draws",
        cpu(|| Ok(black_box(condition::reckon(&inspection)).asymmetries.len()))?,
    );
    let corners: Vec<_> = reckoned.corners.iter().map(|(_, corner)| quantities(corner)).collect();
    table.add("bare draws and arithmetic, NumPy", draws(place, &corners)?);
    table.add("reckoning in WebAssembly, Node", in_browser(place, &inspection)?);
    Ok(())
}

fn quantities(corner: &CornerReckoning) -> String {
    let list = |figures: &[&Option<Figure>]| {
        let pairs: Vec<_> = figures
            .iter()
            .filter_map(|figure| figure.as_ref())
            .map(|figure| format!("[{},{}]", figure.value, figure.uncertainty))
            .collect();
        pairs.join(",")
    };
    format!(
        r#"{{"disc":[{}],"pads":[{}]}}"#,
        list(&[&corner.bulk, &corner.outer_face, &corner.inner_face]),
        list(&[&corner.outer_pad, &corner.inner_pad])
    )
}

/// CPU seconds of the draws in `NumPy`, as Python's own clock of the process says.
fn draws(place: &Place, corners: &[String]) -> Result<f64> {
    let asked = format!(
        r#"{{"draws":{},"spread":0.35,"disc_km":[[72420.48,false],[300000.0,true]],"pads_km":[[24140.16,false]],"corners":[{}]}}"#,
        Draws::OF_METHOD.0,
        corners.join(",")
    );
    let mut python = Command::new(&place.python);
    // One thread, as here.
    python.env("OMP_NUM_THREADS", "1").arg(place.top.join("tests/outside/draws.py"));
    seconds(python, &asked)
}

/// CPU seconds of one reckoning in Node after one that warms it up.
fn in_browser(place: &Place, inspection: &Inspection) -> Result<f64> {
    const SCRIPT: &str = r"
const { reckon_inspection } = require(process.argv[1]);
const inspection = require('node:fs').readFileSync(0);
reckon_inspection(inspection);
const start = process.cpuUsage();
reckon_inspection(inspection);
const spent = process.cpuUsage(start);
console.log((spent.user + spent.system) / 1e6);
";
    let module = place.top.join("target/web/rimside_web_verify.js");
    if !module.exists() {
        bail!("the WebAssembly module is not built; run `cargo xtask wasm`");
    }
    let mut node = Command::new("node");
    node.args(["-e", SCRIPT]).arg(&module);
    let document = model::canonical_json(inspection).context("the inspection as JSON")?;
    seconds(node, std::str::from_utf8(&document)?)
}

fn seconds(mut command: Command, input: &str) -> Result<f64> {
    let name = Path::new(command.get_program()).display().to_string();
    let mut child = command.stdin(Stdio::piped()).stdout(Stdio::piped()).spawn().with_context(|| name.clone())?;
    let mut stdin = child.stdin.take().context("a pipe")?;
    stdin.write_all(input.as_bytes())?;
    drop(stdin);
    let output = child.wait_with_output()?;
    let said = String::from_utf8_lossy(&output.stdout);
    said.trim().parse().with_context(|| format!("{name} said {said:?}"))
}
