//! What a check costs beside the floor, one SHA-512 over the file: `cargo bench -p rimside-seal`.

#![allow(missing_docs, clippy::unwrap_used, clippy::panic, reason = "a bench, with the builder of the tests")]

#[path = "../tests/draft/mod.rs"]
mod draft;
#[path = "../src/fixture.rs"]
mod fixture;

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use draft::{Draft, stream};
use fixture::{TestFirm, at};
use seal::certificate::Role;
use seal::check::check_file;
use seal::file::SealedFile;
use seal::sealing::seal_file;
use seal::trust::Trust;
use sha2::{Digest, Sha512};

/// Forty photographs of 400 kB: a report of 16 MB.
fn prepare_large() -> Vec<u8> {
    let mut noise = 1_u32;
    let mut photograph = || {
        let mut jpeg = vec![0xFF, 0xD8, 0xFF];
        jpeg.extend((0..400_000).map(|_| {
            noise = noise.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (noise >> 24) as u8
        }));
        jpeg.extend([0xFF, 0xD9]);
        stream("/Type/XObject/Subtype/Image/Filter/DCTDecode", &jpeg)
    };
    let names: Vec<String> = (0..40).map(|number| format!("photograph{number}")).collect();
    let draft = names.iter().fold(Draft::valid(), |draft, name| draft.add(name, photograph()));
    names
        .iter()
        .fold(draft, |draft, name| draft.swap("resources", "/P0 @", &format!("/{name} @{name}@/P0 @")))
        .prepare()
}

fn check(criterion: &mut Criterion) {
    let mut firm = TestFirm::found("North Bay");
    let signer = firm.hire("Maja Holt", Role::Inspector);
    let prepared = prepare_large();
    let sealed = seal_file(prepared.clone(), &signer).unwrap();
    let trust = Trust { roots: vec![firm.root.clone()], ..Trust::at(at("2026-06-01T12:00:00Z")) };
    assert!(check_file(&sealed, &trust).whose.passed().is_some());

    let mut group = criterion.benchmark_group("check");
    group.throughput(Throughput::Bytes(sealed.len() as u64)).sample_size(20);
    group.bench_function("floor: one SHA-512", |bencher| bencher.iter(|| Sha512::digest(&sealed)));
    group.bench_function("read", |bencher| bencher.iter(|| SealedFile::read(&sealed).unwrap().page_count()));
    group.bench_function("check", |bencher| bencher.iter(|| check_file(&sealed, &trust)));
    group.bench_function("seal", |bencher| bencher.iter(|| seal_file(prepared.clone(), &signer).unwrap()));
    group.finish();
}

criterion_group!(benches, check);
criterion_main!(benches);
