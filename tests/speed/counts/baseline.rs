//! Counts that are stored, and what has become of them.

use crate::callgrind::Counts;
use std::path::{Path, PathBuf};

/// The share by which work may become dearer, and from which on it counts as cheaper.
const TOLERANCE: f64 = 0.05;

/// How many instructions are no difference: what memory is given out for lies elsewhere from run to run.
const SLACK: u64 = 20_000;

fn file() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../tests/speed/baseline.json")
}

/// Stores what was counted, for all later runs to be held against.
pub fn store(counts: &Counts) {
    let text = serde_json::to_string_pretty(counts).unwrap();
    std::fs::write(file(), text + "\n").unwrap();
    println!("{} counts stored in {}", counts.len(), file().display());
}

/// Prints every count beside the stored one. Says whether none is over its tolerance and all are stored.
pub fn holds(counts: &Counts) -> bool {
    let text = std::fs::read_to_string(file()).unwrap();
    let stored: Counts = serde_json::from_str(&text).unwrap();
    let (mut well, mut cheaper) = (true, false);
    for (name, &count) in counts {
        let Some(&before) = stored.get(name) else {
            println!("{name:32} {count:>15}  NOT STORED");
            well = false;
            continue;
        };
        let change = match count.abs_diff(before) {
            ..=SLACK => 0.0,
            _ => count as f64 / before as f64 - 1.0,
        };
        let verdict = match change {
            change if change > TOLERANCE => "  DEARER",
            change if change < -TOLERANCE => "  cheaper",
            _ => "",
        };
        well &= change <= TOLERANCE;
        cheaper |= change < -TOLERANCE;
        println!("{name:32} {count:>15} {:+7.2} %{verdict}", change * 100.0);
    }
    for name in stored.keys().filter(|name| !counts.contains_key(*name)) {
        println!("{name:32} is stored, and nothing counts it");
        well = false;
    }
    if !well {
        println!("Make dear work cheaper, or say in the commit why it is worth it and store it:");
    } else if cheaper {
        println!("Store what became cheaper, so that it stays so:");
    }
    if !well || cheaper {
        println!("    cargo bench -p hoopwright --bench counts -- --new-baseline");
    }
    well
}
