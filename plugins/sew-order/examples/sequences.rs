//! Orders designs and tells what was found, so that geometry and search from outside can compare.
//!
//! `cargo run --release -p hoopwright-sew-order --example sequences < designs.json`
//!
//! Reads a JSON list of designs, and writes a JSON list of what each order is and what it costs.
//! Outlines are free, so that only overlap binds.

use hoopwright_sdk::prelude::*;
use hoopwright_sdk::serde_json::{from_reader, json};
use hoopwright_sew_order::{Outlines, SewOrder, best};
use std::error::Error;

fn main() -> Result<(), Box<dyn Error>> {
    let designs: Vec<Design> = from_reader(std::io::stdin())?;
    let settings = SewOrder {
        outlines: Outlines::Free,
        ..SewOrder::default()
    };
    let mut told = Vec::new();
    for design in &designs {
        let all: Vec<usize> = (0..design.objects.len()).collect();
        let found = best(design, &all, &settings).map_err(|failure| failure.message)?;
        told.push(json!({
            "order": found.order, "pairs": found.pairs,
            "changes": found.changes, "least_changes": found.least_changes,
            "trims": found.trims, "least_trims": found.least_trims,
        }));
    }
    println!("{}", json!(told));
    Ok(())
}
