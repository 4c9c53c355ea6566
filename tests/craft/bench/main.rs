//! The fill-making steps in the sandbox and as ordinary functions, side by side.
//!
//! `cargo bench -p hoopwright --bench craft` sews every run of `tests/craft/runs.json` and leaves
//! stitches and times in `target/craft` for `tests/oracle/craft.py`; names of runs choose among
//! them.

#![allow(
    clippy::unwrap_used,
    reason = "a benchmark that cannot go on should stop"
)]

mod sandboxed;
mod side_by_side;
mod table;

use hoopwright_craft::native::{Ready, thread};
use hoopwright_craft::record::{Stitches, Time, write_times};
use hoopwright_craft::{regions, runs};
use side_by_side::compare;

fn main() {
    // Cargo adds `--bench`; whatever else there is names runs.
    let wanted: Vec<String> = std::env::args()
        .skip(1)
        .filter(|argument| !argument.starts_with('-'))
        .collect();
    let samples = regions::read().unwrap();
    let sandboxed = sandboxed::Steps::new();
    let mut times = Vec::new();
    let mut different = Vec::new();
    for run in runs::read().unwrap() {
        if !wanted.is_empty() && !wanted.contains(&run.name) {
            continue;
        }
        let ready = Ready::new(&run).unwrap();
        let step = sandboxed.ready(&run, &thread());
        let mut stitches = Stitches::of(&run, ready.settings()).unwrap();
        for sample in samples.iter().filter(|sample| run.sews(sample)) {
            let object = sample.object(&run);
            let both = compare(&ready, &step, &object, &thread());
            if !both.same {
                different.push(format!("{} {}", run.name, sample.name));
            }
            stitches.add(sample, &both.outcome).unwrap();
            times.push(Time {
                run: run.name.clone(),
                region: sample.name.clone(),
                native: both.native.as_secs_f64(),
                wasm: Some(both.wasm.as_secs_f64()),
            });
        }
        stitches.finish().unwrap();
    }
    write_times(&times).unwrap();
    print!("{}", table::of(&times, &samples));
    if !different.is_empty() {
        // Both are right: the last digit of trigonometry turns a choice between equals.
        println!(
            "sewn otherwise than natively: {} of {}: {}",
            different.len(),
            times.len(),
            different.join(", ")
        );
    }
}
