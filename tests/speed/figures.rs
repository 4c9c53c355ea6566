//! What was measured, as rows of a table.

use crate::timing::Spread;

/// One row.
#[derive(Clone, Debug)]
pub struct Figure {
    /// What was measured.
    pub what: String,
    /// What came out, in words.
    pub measured: String,
    /// What it should be, in words, and whether it is.
    pub target: Option<(String, bool)>,
}

impl Figure {
    /// A figure without a target.
    pub fn new(what: impl Into<String>, measured: impl Into<String>) -> Self {
        let figure = Self {
            what: what.into(),
            measured: measured.into(),
            target: None,
        };
        println!("{}: {}", figure.what, figure.measured);
        figure
    }

    /// The same with what it should be at most.
    #[must_use]
    pub fn at_most(mut self, value: f64, most: f64, in_words: &str) -> Self {
        self.target = Some((format!("at most {in_words}"), value <= most));
        self
    }

    /// The same with what it should be at least.
    #[must_use]
    pub fn at_least(mut self, value: f64, least: f64, in_words: &str) -> Self {
        self.target = Some((format!("at least {in_words}"), value >= least));
        self
    }
}

/// Seconds in the unit that suits them.
pub fn time(seconds: f64) -> String {
    match seconds {
        s if s < 1e-3 => format!("{:.1} µs", s * 1e6),
        s if s < 1e-1 => format!("{:.2} ms", s * 1e3),
        s if s < 1.0 => format!("{:.0} ms", s * 1e3),
        s => format!("{s:.2} s"),
    }
}

/// A number of times, with the middle half of what was measured.
pub fn ratio(spread: Spread) -> String {
    let Spread { median, low, high } = spread;
    format!("{median:.2} ({low:.2} to {high:.2})")
}

/// A whole number with commas.
pub fn whole(number: usize) -> String {
    let digits = number.to_string();
    let first = digits.len() % 3;
    let mut groups: Vec<&str> = Vec::new();
    if first > 0 {
        groups.push(&digits[..first]);
    }
    let rest = &digits[first..];
    groups.extend((0..rest.len() / 3).map(|i| &rest[3 * i..3 * i + 3]));
    groups.join(",")
}
