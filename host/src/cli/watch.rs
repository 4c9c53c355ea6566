//! Progress on standard error, while a run goes on.

use hoopwright::pipeline::Watch;
use indicatif::{ProgressBar, ProgressStyle};
use std::sync::Arc;
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

    fn log(&self, label: &str, object: Option<&str>, debug: bool, line: &str) {
        if !debug || self.debug {
            let line = told(label, object, line);
            self.bar.suspend(|| eprintln!("{line}"));
        }
    }
}

/// How many artworks of a batch are done, on a terminal; nothing where standard error is none.
pub struct Tally {
    bar: ProgressBar,
    debug: bool,
}

impl Tally {
    /// A tally of so many artworks. Log lines meant for a plugin's author are shown where `debug`
    /// is set.
    pub fn new(artworks: usize, debug: bool) -> Self {
        let bar = ProgressBar::new(artworks as u64);
        if let Ok(style) =
            ProgressStyle::with_template("{spinner} {pos} of {len} artworks {bar:30} {elapsed}")
        {
            bar.set_style(style);
        }
        bar.enable_steady_tick(Duration::from_millis(100));
        Self { bar, debug }
    }

    /// One artwork more is done; `tell` says what became of it.
    pub fn one_more(&self, tell: impl FnOnce()) {
        self.bar.suspend(tell);
        self.bar.inc(1);
    }

    /// Takes the tally off the terminal.
    pub fn finish(&self) {
        self.bar.finish_and_clear();
    }

    /// The watch of one artwork: only what its steps log is told.
    pub fn watch(&self, artwork: &str) -> Arc<dyn Watch> {
        Arc::new(Lines {
            bar: self.bar.clone(),
            debug: self.debug,
            artwork: artwork.to_owned(),
        })
    }
}

/// What the steps log of one artwork among others.
struct Lines {
    bar: ProgressBar,
    debug: bool,
    artwork: String,
}

impl Watch for Lines {
    fn log(&self, label: &str, object: Option<&str>, debug: bool, line: &str) {
        if !debug || self.debug {
            let line = told(label, object, line);
            self.bar.suspend(|| eprintln!("{}, {line}", self.artwork));
        }
    }
}

/// A line that a step logged, after the step, the object and the place in the source.
fn told(label: &str, object: Option<&str>, line: &str) -> String {
    let mut about = format!("step {label}");
    if let Some(id) = object {
        about += &format!(", object \"{id}\"");
    }
    match line.split_once(": ") {
        Some((place, rest)) if is_source_line(place) => format!("{about}, {place}: {rest}"),
        _ => format!("{about}: {line}"),
    }
}

/// Whether this is a place as the SDK writes it before a line: `src/lib.rs:12`.
fn is_source_line(place: &str) -> bool {
    let Some((file, number)) = place.rsplit_once(':') else {
        return false;
    };
    file.ends_with(".rs") && number.parse::<u32>().is_ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_says_where_it_comes_from() {
        assert_eq!(
            told("2 (nudge)", Some("eye"), "src/lib.rs:12: it moved: a bit"),
            "step 2 (nudge), object \"eye\", src/lib.rs:12: it moved: a bit"
        );
        assert_eq!(
            told("2 (nudge)", None, "so far: a bit"),
            "step 2 (nudge): so far: a bit"
        );
    }
}
