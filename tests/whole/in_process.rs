//! The library called directly, without the command line.

use crate::files::{root, scratch};
use hoopwright::pipeline::{self, Checked};
use hoopwright::plugins::Plugins;
use hoopwright::sandbox::{Limits, Sandbox};
use std::sync::Arc;

/// The stock steps, and a pipeline of the demo that has been checked against them.
pub fn checked(pipeline: &str) -> (Plugins, Checked) {
    checked_within(Limits::default(), pipeline)
}

/// The same with limits of the test's own.
pub fn checked_within(limits: Limits, pipeline: &str) -> (Plugins, Checked) {
    let compiled = scratch().join("compiled");
    let sandbox = Arc::new(Sandbox::new(limits, Some(&compiled)).unwrap());
    let plugins = Plugins::stock(sandbox);
    let file = root().join("demo-pipelines").join(pipeline);
    let text = std::fs::read_to_string(&file).unwrap();
    let checked = pipeline::check(&file, text, &plugins).unwrap();
    (plugins, checked)
}
