//! The WebAssembly module, run by Node: the same bytes and the same verdict as here.

use std::process::Command;

use api::{NativeWorld, TrustRequest, VerifyRequest, show_record, verify_report};
use rimside_tests::{FixedWorld, top};
use seal::file::SealedFile;

use crate::SEALED;

const SCRIPT: &str = r"
const fs = require('node:fs');
const [module_, folder, report, root, now] = process.argv.slice(1);
const { reckon_inspection, render_record, verify_file } = require(module_);
fs.writeFileSync(`${folder}/reckoning.json`, reckon_inspection(fs.readFileSync(`${folder}/inspection.json`)));
const record = fs.readFileSync(`${folder}/record.json`);
const photographs = fs.readFileSync(`${folder}/photographs.bin`);
const lengths = Uint32Array.from(JSON.parse(fs.readFileSync(`${folder}/lengths.json`, 'utf8')));
fs.writeFileSync(`${folder}/prepared.pdf`, render_record(record, photographs, lengths));
process.stdout.write(verify_file(fs.readFileSync(report), fs.readFileSync(root, 'utf8'), '', '', now));
";

#[test]
fn a_browser_draws_the_same_bytes_and_gives_the_same_verdict() {
    let module = top().join("target/web/rimside_web_verify.js");
    assert!(module.exists(), "the WebAssembly module is not built; run `cargo xtask wasm`");
    let bytes = std::fs::read(&SEALED.report).unwrap();
    let file = SealedFile::read(&bytes).unwrap();
    let place = SEALED.folder.path().join("browser");
    std::fs::create_dir_all(&place).unwrap();
    let copies: Vec<_> = file.image_streams().collect();
    let shown = show_record(&NativeWorld, &SEALED.report).unwrap();
    let inspection = serde_json::to_vec(&shown.record.inspection).unwrap();
    std::fs::write(place.join("inspection.json"), inspection).unwrap();
    std::fs::write(place.join("record.json"), shown.bytes).unwrap();
    std::fs::write(place.join("photographs.bin"), copies.concat()).unwrap();
    let lengths: Vec<_> = copies.iter().map(|copy| copy.len()).collect();
    std::fs::write(place.join("lengths.json"), serde_json::to_vec(&lengths).unwrap()).unwrap();

    let said = Command::new("node")
        .args(["-e", SCRIPT])
        .arg(&module)
        .arg(&place)
        .arg(&SEALED.report)
        .arg(&SEALED.root)
        .arg(FixedWorld::NOW)
        .output()
        .expect("node is missing; run `cargo xtask setup`");
    assert!(said.status.success(), "{}", String::from_utf8_lossy(&said.stderr));

    let reckoned = std::fs::read(place.join("reckoning.json")).unwrap();
    assert!(
        reckoned == model::canonical_json(&shown.record.reckoning).unwrap(),
        "the reckoning has other bits in a browser"
    );
    let prepared = std::fs::read(place.join("prepared.pdf")).unwrap();
    let range = file.byte_range();
    assert!(prepared[range.before.clone()] == bytes[range.before.clone()], "the pages before the seal differ");
    assert!(prepared[range.after.clone()] == bytes[range.after.clone()], "the pages after the seal differ");

    let request = VerifyRequest {
        file: &SEALED.report,
        trust: TrustRequest { roots: std::slice::from_ref(&SEALED.root), ..TrustRequest::default() },
        signature_only: false,
    };
    let here = verify_report(&FixedWorld::default(), &request).unwrap();
    let there: serde_json::Value = serde_json::from_slice(&said.stdout).unwrap();
    assert_eq!(there, serde_json::to_value(&here).unwrap());
}
