//! Prints the JSON Schema of what pages and core say to each other: `cargo xtask types` makes the pages' types from it.
#![allow(clippy::print_stdout, reason = "its output is what it is for")]

fn main() {
    println!("{:#}", api::door::contract_schema());
}
