//! A whole reckoning at several numbers of draws: `cargo bench -p rimside-condition`.
//!
//! What the draws cost beside everything else is the difference between the rows.

#![allow(missing_docs, reason = "a bench")]

use std::num::NonZeroUsize;

use condition::Draws;
use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};

fn reckon(bench: &mut Criterion) {
    let inspection = model::sample::inspection();
    let mut group = bench.benchmark_group("reckoning");
    group.sample_size(20);
    for draws in [1_000, 10_000, 100_000] {
        group.throughput(Throughput::Elements(draws as u64));
        let count = Draws(NonZeroUsize::new(draws).expect("more than none"));
        group.bench_with_input(BenchmarkId::from_parameter(draws), &count, |b, &count| {
            b.iter(|| condition::reckon_with(std::hint::black_box(&inspection), count));
        });
    }
    group.finish();
}

criterion_group!(benches, reckon);
criterion_main!(benches);
