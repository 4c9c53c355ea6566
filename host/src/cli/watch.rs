//! Progress on standard error, while a run goes on.

use hoopwright::pipeline::Watch;
use indicatif::{ProgressBar, ProgressStyle};
use std::time::Duration;

/// Thousandths: how finely the bar shows a fraction.
const FINE: u64 = 1000;

/// A bar on a terminal; nothing where standard error is none.
pub struct Bar {
    bar: ProgressBar,
    debug: bool,
}

impl Bar {
    /// A bar. Log lines meant for a plugin's author are shown where `debug` is set.
    pub fn new(debug: bool) -> Self {
        let bar = ProgressBar::new(FINE);
        if let Ok(style) =
            ProgressStyle::with_template("{spinner} {wide_msg} {bar:30} {percent:>3} %")
        {
            bar.set_style(style);
        }
        bar.enable_steady_tick(Duration::from_millis(100));
        Self { bar, debug }
    }

    /// Takes the bar off the terminal.
    pub fn finish(&self) {
        self.bar.finish_and_clear();
    }
}

impl Watch for Bar {
    fn begins(&self, label: &str, objects: usize) {
        self.bar.set_position(0);
        let noun = if objects == 1 { "object" } else { "objects" };
        self.bar
            .set_message(format!("step {label}, {objects} {noun}"));
    }

    fn progress(&self, fraction: f64) {
        self.bar.set_position((fraction * FINE as f64) as u64);
    }

    fn log(&self, label: &str, debug: bool, line: &str) {
        if !debug || self.debug {
            self.bar
                .suspend(|| anstream::eprintln!("step {label}: {line}"));
        }
    }
}
