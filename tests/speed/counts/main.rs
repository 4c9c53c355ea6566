//! Instructions that fixed work takes, counted by callgrind and held against `tests/speed/baseline.json`.
//!
//! `cargo bench -p hoopwright --bench counts` fails where work takes over 5 % more than stored, and tells
//! what takes 5 % less; `-- --new-baseline` stores what it counts. Unlike times, counts are the same however
//! busy the machine is. They are counted natively: the sandbox's code is made anew on each machine, for its
//! very processor.

#![allow(
    clippy::unwrap_used,
    reason = "a benchmark that cannot go on should stop"
)]

mod baseline;
mod callgrind;
#[path = "../native.rs"]
mod native;
mod owl;
mod work;

use std::process::ExitCode;

/// The word that makes this program do the work itself, for callgrind to watch.
const WORK: &str = "do-the-work";

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    if words.first().is_some_and(|first| first == WORK) {
        work::all();
        return ExitCode::SUCCESS;
    }
    let counts = callgrind::count(WORK);
    if words.iter().any(|word| word == "--new-baseline") {
        baseline::store(&counts);
        return ExitCode::SUCCESS;
    }
    if baseline::holds(&counts) {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}
