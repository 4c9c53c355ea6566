//! What one call of a step leaves with the host, besides its answer.

use super::Limits;
use super::bindings::host::{Host, LogLevel};
use super::bindings::messages::Finding;
use super::clock::Clock;
use super::guard::Guard;
use crate::diagnostics::commands;
use std::sync::Arc;
use wasmtime::Trap;

/// A line that a step logged.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LogLine {
    /// Whether it is meant for the plugin's author only.
    pub debug: bool,
    /// The line.
    pub text: String,
}

/// Log lines and findings of one call.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Log {
    /// In the order they came.
    pub lines: Vec<LogLine>,
    /// In the order they came.
    pub findings: Vec<Finding>,
    /// How many lines and findings went over the limits.
    pub dropped: usize,
}

/// Told how far a call is, from 0 to 1.
pub type Progress = Arc<dyn Fn(f64) + Send + Sync>;

/// A line longer than this is cut, in bytes.
const LINE_BYTES: usize = 4096;

/// The store's data during a call.
pub(super) struct Session {
    pub(super) guard: Guard,
    pub(super) log: Log,
    pub(super) panic: Option<String>,
    clock: Clock,
    progress: Option<Progress>,
    most_lines: usize,
    most_findings: usize,
}

impl Session {
    pub(super) fn new(limits: &Limits, clock: Clock, progress: Option<Progress>) -> Self {
        Self {
            guard: Guard::new(limits),
            log: Log::default(),
            panic: None,
            clock,
            progress,
            most_lines: limits.log_lines,
            most_findings: limits.findings,
        }
    }

    /// Ends a call whose time is over. What a guest asks of the host may take long and be little work of
    /// its own, such as a long line.
    fn look_at_the_clock(&self) -> wasmtime::Result<()> {
        if self.clock.is_over() {
            return Err(Trap::Interrupt.into());
        }
        Ok(())
    }
}

impl Host for Session {
    fn log(&mut self, level: LogLevel, message: String) -> wasmtime::Result<()> {
        self.look_at_the_clock()?;
        let text = printable(message);
        if level == LogLevel::Panic {
            self.panic = Some(text);
        } else if self.log.lines.len() < self.most_lines {
            self.log.lines.push(LogLine {
                debug: level == LogLevel::Debug,
                text,
            });
        } else {
            self.log.dropped += 1;
        }
        Ok(())
    }

    fn progress(&mut self, fraction: f64) -> wasmtime::Result<()> {
        self.look_at_the_clock()?;
        if let Some(progress) = &self.progress
            && fraction.is_finite()
        {
            progress(fraction.clamp(0.0, 1.0));
        }
        Ok(())
    }

    fn report(&mut self, finding: Finding) -> wasmtime::Result<()> {
        self.look_at_the_clock()?;
        if self.log.findings.len() >= self.most_findings {
            self.log.dropped += 1;
            return Ok(());
        }
        let place = finding
            .place
            .filter(|place| place.x.is_finite() && place.y.is_finite());
        self.log.findings.push(Finding {
            severity: finding.severity,
            message: printable(finding.message),
            object: finding.object.map(printable),
            place,
            help: finding.help.map(printable),
        });
        Ok(())
    }
}

impl super::bindings::messages::Host for Session {}
impl super::bindings::model::Host for Session {}

/// A guest's words as they may go to a terminal, and not endless.
pub(super) fn printable(mut text: String) -> String {
    let cut = text.len() > LINE_BYTES;
    if cut {
        let end = (0..=LINE_BYTES).rev().find(|&i| text.is_char_boundary(i));
        text.truncate(end.unwrap_or(0));
    }
    let mut text = harmless(&text);
    if cut {
        text.push('…');
    }
    text
}

/// A stranger's words without what would command a terminal, or turn the order of what is read.
pub fn harmless(text: &str) -> String {
    text.chars()
        .map(|c| if commands(c) && c != '\n' { ' ' } else { c })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_command_no_terminal() {
        assert_eq!(harmless("a\u{1b}[31mb\r\n\u{202e}c"), "a [31mb \n c");
    }

    #[test]
    fn long_words_are_cut_between_characters() {
        let cut = printable("é".repeat(LINE_BYTES));
        assert_eq!(cut.chars().count(), LINE_BYTES / 2 + 1);
        assert!(cut.ends_with('…'));
    }
}
