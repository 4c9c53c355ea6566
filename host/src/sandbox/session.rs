//! What one call of a step leaves with the host, besides its answer.

use super::Limits;
use super::bindings::host::{Host, LogLevel};
use super::bindings::messages::Finding;
use super::bindings::piecework_plugin::hoopwright::step::piecework;
use super::clock::Clock;
use super::guard::Guard;
use super::piecework::Desk;
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

/// What is there besides texts and numbers, for each record, in bytes.
pub(crate) const RECORD: usize = 64;

impl Log {
    /// About how much memory it takes, in bytes.
    pub(crate) fn bytes(&self) -> usize {
        let length = |text: &Option<String>| text.as_ref().map_or(0, String::len);
        let lines = self.lines.iter().map(|line| RECORD + line.text.len());
        let findings = self.findings.iter();
        let findings = findings
            .map(|one| RECORD + one.message.len() + length(&one.object) + length(&one.help));
        lines.chain(findings).sum()
    }
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
    /// Where pieces are given out, in a step that may.
    desk: Option<Desk>,
    most_lines: usize,
    most_findings: usize,
}

impl Session {
    pub(super) fn new(
        limits: &Limits,
        clock: Clock,
        progress: Option<Progress>,
        desk: Option<Desk>,
    ) -> Self {
        Self {
            guard: Guard::new(limits),
            log: Log::default(),
            panic: None,
            clock,
            progress,
            desk,
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

    fn hear_line(&mut self, line: LogLine) {
        if self.log.lines.len() < self.most_lines {
            self.log.lines.push(line);
        } else {
            self.log.dropped += 1;
        }
    }

    fn hear_finding(&mut self, finding: Finding) {
        if self.log.findings.len() < self.most_findings {
            self.log.findings.push(finding);
        } else {
            self.log.dropped += 1;
        }
    }

    /// Hears what was said over a piece.
    pub(super) fn hear(&mut self, log: Log) {
        log.lines.into_iter().for_each(|line| self.hear_line(line));
        let findings = log.findings.into_iter();
        findings.for_each(|finding| self.hear_finding(finding));
        self.log.dropped += log.dropped;
    }
}

impl Host for Session {
    fn log(&mut self, level: LogLevel, message: String) -> wasmtime::Result<()> {
        self.look_at_the_clock()?;
        let text = printable(message);
        if level == LogLevel::Panic {
            self.panic = Some(text);
        } else {
            self.hear_line(LogLine {
                debug: level == LogLevel::Debug,
                text,
            });
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
        let place = finding
            .place
            .filter(|place| place.x.is_finite() && place.y.is_finite());
        self.hear_finding(Finding {
            severity: finding.severity,
            message: printable(finding.message),
            object: finding.object.map(printable),
            place,
            help: finding.help.map(printable),
        });
        Ok(())
    }
}

impl piecework::Host for Session {
    async fn give_out(&mut self, pieces: Vec<Vec<u8>>) -> wasmtime::Result<Vec<Vec<u8>>> {
        self.look_at_the_clock()?;
        let Some(desk) = self.desk.clone() else {
            wasmtime::bail!(
                "it gives out pieces where it may not: only a design step with a piece-worker may, and no piece"
            );
        };
        let (done, logs) = desk.give_out(pieces).await;
        logs.into_iter().for_each(|log| self.hear(log));
        Ok(done)
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
