//! Sews lines as run or triple run.

use hoopwright_sdk::prelude::*;

settings! {
    /// Run settings.
    pub struct LineRun {
        /// Longest stitch.
        pub stitch_length: f64 = 2.5, in "mm", from 0.5 to 12.1;
    }
}

fn line_run(object: Object, _thread: &Thread, _settings: &LineRun) -> Result<Object, Failure> {
    Ok(object)
}

object_step! {
    name: "line-run",
    summary: "Sews lines as run or triple run.",
    settings: LineRun,
    process: line_run,
}
