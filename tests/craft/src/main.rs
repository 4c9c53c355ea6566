//! Sews the regions natively, for a quick look while working on a step.
//!
//! ```sh
//! cargo run --release -p hoopwright-craft            # all runs of tests/craft/runs.json
//! cargo run --release -p hoopwright-craft -- fill    # the run named so
//! ```

use hoopwright_craft::native::{Ready, thread};
use hoopwright_craft::record::{Stitches, Time, write_times};
use hoopwright_craft::{regions, runs};
use std::error::Error;

fn main() -> Result<(), Box<dyn Error>> {
    let wanted: Vec<String> = std::env::args().skip(1).collect();
    let samples = regions::read()?;
    let runs = runs::read()?;
    if let Some(unknown) = wanted
        .iter()
        .find(|name| runs.iter().all(|run| run.name != **name))
    {
        let names: Vec<&str> = runs.iter().map(|run| run.name.as_str()).collect();
        return Err(format!("no run is named {unknown}; there are {}", names.join(", ")).into());
    }
    let mut times = Vec::new();
    for run in &runs {
        if !wanted.is_empty() && !wanted.contains(&run.name) {
            continue;
        }
        let ready = Ready::new(run)?;
        let mut stitches = Stitches::of(run, ready.settings())?;
        for sample in samples.iter().filter(|sample| run.sews(sample)) {
            let outcome = ready.call(sample.object(run), &thread());
            stitches.add(sample, &outcome)?;
            times.push(Time {
                run: run.name.clone(),
                region: sample.name.clone(),
                native: outcome.took.as_secs_f64(),
                wasm: None,
            });
        }
        stitches.finish()?;
    }
    times.sort_by(|a, b| b.native.total_cmp(&a.native));
    for time in times.iter().take(10) {
        println!("{:9.1} ms  {} {}", time.native * 1e3, time.run, time.region);
    }
    Ok(write_times(&times)?)
}
