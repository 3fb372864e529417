//! Report copies of photographs of 12 megapixels, one after the other on one core.
//!
//! The floor to compare with is `vipsthumbnail --size 1600 -o '%s-small.jpg[Q=88]' FILES` on the same files, in CPU
//! time (user and system), not in elapsed time.

use criterion::{Criterion, Throughput, criterion_group, criterion_main};

const WIDTH: u16 = 4000;
const HEIGHT: u16 = 3000;

fn make_copies(bench: &mut Criterion) {
    let original = draw_original();
    let mut group = bench.benchmark_group("report copy");
    group.sample_size(20).throughput(Throughput::Bytes(original.len() as u64));
    group.bench_function("12 megapixels", |b| {
        b.iter(|| photo::make_report_copy(std::hint::black_box(&original)).expect("a sound JPEG"));
    });
    let small = photo::make_report_copy(&original).expect("a sound JPEG").bytes;
    group.bench_function("already small", |b| {
        b.iter(|| photo::make_report_copy(std::hint::black_box(&small)).expect("a sound JPEG"));
    });
    group.finish();
}

/// Soft shapes under sensor noise, about as many bytes as a phone's camera writes.
fn draw_original() -> Vec<u8> {
    let mut seed = 0x2545_f491_4f6c_dd1d_u64;
    let mut pixels = Vec::with_capacity(usize::from(WIDTH) * usize::from(HEIGHT) * 3);
    for y in 0..u32::from(HEIGHT) {
        for x in 0..u32::from(WIDTH) {
            let shape = ((x / 7) ^ (y / 11)) % 64 + ((x * y) >> 17);
            for tint in [40, 30, 20] {
                seed ^= seed << 13;
                seed ^= seed >> 7;
                seed ^= seed << 17;
                let noise = (seed >> 60) as u32;
                pixels.push((shape + noise + tint).min(255) as u8);
            }
        }
    }
    let mut bytes = Vec::new();
    jpeg_encoder::Encoder::new(&mut bytes, 88)
        .encode(&pixels, WIDTH, HEIGHT, jpeg_encoder::ColorType::Rgb)
        .expect("a size that JPEG can hold");
    bytes
}

criterion_group!(benches, make_copies);
criterion_main!(benches);
