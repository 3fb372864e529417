//! Set-up and commands: demo, test, bench.
fn main() {}
