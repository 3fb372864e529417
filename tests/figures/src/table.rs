//! The table of figures: medians, ratios, what was aimed at.

use std::collections::BTreeMap;

/// What was measured, round by round.
#[derive(Default)]
pub struct Table {
    seconds: BTreeMap<&'static str, Vec<f64>>,
    peak: u64,
    size: (usize, usize, usize),
    short_pages: usize,
}

impl Table {
    /// Adds one measurement in CPU seconds.
    pub fn add(&mut self, name: &'static str, seconds: f64) {
        self.seconds.entry(name).or_default().push(seconds);
    }

    /// Keeps the greatest peak of memory, in bytes.
    pub fn peak(&mut self, bytes: u64) {
        self.peak = self.peak.max(bytes);
    }

    /// The measured report: bytes, pages, photographs.
    pub const fn size(&mut self, bytes: usize, pages: usize, photographs: usize) {
        self.size = (bytes, pages, photographs);
    }

    /// Pages of the short report.
    pub const fn short_pages(&mut self, pages: usize) {
        self.short_pages = pages;
    }

    /// The median of what was measured under a name.
    pub fn median(&self, name: &str) -> f64 {
        let mut sorted = self.seconds.get(name).cloned().unwrap_or_default();
        sorted.sort_by(f64::total_cmp);
        sorted.get(sorted.len() / 2).copied().unwrap_or(f64::NAN)
    }

    /// Prints medians with their spread. The office's are by the clock.
    pub fn print_times(&self) {
        println!(
            "\n{:>10} {:>10} {:>10}  milliseconds (of the processor, where nothing else is said)",
            "median", "least", "most"
        );
        for (name, seconds) in &self.seconds {
            let least = seconds.iter().copied().fold(f64::INFINITY, f64::min);
            let most = seconds.iter().copied().fold(0.0, f64::max);
            println!("{:10.1} {:10.1} {:10.1}  {name}", self.median(name) * 1e3, least * 1e3, most * 1e3);
        }
    }

    /// Prints medians with their spread, then the ratios beside what they aim at.
    pub fn print(&self, many: &str) {
        let (bytes, pages, photographs) = self.size;
        println!("\nreport: {:.1} MB, {pages} pages, {photographs} photographs", bytes as f64 / 1e6);
        println!("short report: {} pages, {photographs} photographs", self.short_pages);
        self.print_times();
        let hash = self.median("one SHA-512 over the file");
        let rest = self.median("pages, hashes and signature, no scaling");
        let signature = self.median("verify without the pages drawn again");
        println!("\n{:>8} {:>8}  ratio", "got", "aim");
        let rows = [
            (
                self.median("seal: 40 photographs of 12 megapixels") / self.median("scaling alone, vipsthumbnail"),
                "≤ 2",
                "sealing / scaling alone by vipsthumbnail",
            ),
            (rest / hash, "", "pages, hashes and signature / one SHA-512 over the file"),
            (
                self.median("pages, hashes and signature of the short report")
                    / self.median("one SHA-512 over the short report"),
                "≤ 3",
                "the same of the short report",
            ),
            (signature / (2.0 * hash + 0.005), "≤ 1", "verifying without the pages / (2 × one SHA-512 + 5 ms)"),
            (
                self.median("pyHanko's library call") / signature,
                "> 1",
                "pyHanko's library call / verifying without the pages",
            ),
            (
                self.median("pyHanko's command line, process")
                    / self.median("rimside verify --signature-only, process"),
                "≥ 20",
                "pyHanko's command line / rimside verify --signature-only",
            ),
            (
                self.median("verify with the pages drawn again") / rest,
                "≤ 3",
                "verifying with the pages / sealing without scaling",
            ),
            (
                self.median("reckoning, whole, 100 000 draws") / self.median("bare draws and arithmetic, NumPy"),
                "≤ 2",
                "the whole reckoning / the bare draws in NumPy",
            ),
            (
                self.median("reckoning in WebAssembly, Node") / self.median("reckoning, whole, 100 000 draws"),
                "≤ 4",
                "the reckoning in WebAssembly / here",
            ),
            (self.peak as f64 / 300e6, "≤ 1", "peak memory of sealing / 300 MB"),
        ];
        print_rows(&rows);
        print_rows(&crate::measured::rows(self));
        println!("\npeak memory of sealing: {:.0} MB\n{many}", self.peak as f64 / 1e6);
    }
}

/// Prints figures beside what they aim at.
pub fn print_rows(rows: &[(f64, &str, &str)]) {
    for (got, aim, name) in rows {
        println!("{got:8.2} {aim:>8}  {name}");
    }
}
