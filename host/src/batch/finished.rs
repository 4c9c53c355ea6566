//! What became of each artwork.

use crate::diagnostics::{Diagnostic, Severity, lossy};
use crate::job::Sewn;
use serde::{Deserialize, Serialize};
use std::path::PathBuf;

/// What became of an artwork.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    /// Its products have been written.
    Sewn,
    /// Its products were there already, made of the same artwork in the same way.
    Unchanged,
    /// Something about it is wrong; nothing of it was written.
    Failed,
    /// It was sewn, but its products cannot be written.
    NotWritten,
}

/// What an artwork comes to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub struct Figures {
    /// How often the needle goes down.
    pub stitches: usize,
    /// How often the thread is changed.
    pub thread_changes: usize,
    /// How often the thread is cut.
    pub trims: usize,
    /// How long the machine needs, in seconds.
    pub seconds: f64,
    /// How many warnings there were.
    pub warnings: usize,
}

impl Figures {
    /// The figures of what was sewn.
    pub fn of(sewn: &Sewn) -> Self {
        let sheet = &sewn.worksheet;
        let warns = |finding: &&Diagnostic| finding.severity == Severity::Warning;
        Self {
            stitches: sheet.stitches,
            thread_changes: sheet.thread_changes,
            trims: sheet.trims,
            seconds: sheet.seconds,
            warnings: sewn.told().iter().filter(warns).count(),
        }
    }

    /// Whole minutes at the machine, begun ones included.
    pub fn minutes(&self) -> u64 {
        (self.seconds / 60.0).ceil() as u64
    }
}

/// An artwork whose turn is over.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Finished {
    /// Its place in the order of the batch, from 1.
    pub index: usize,
    /// Its file.
    #[serde(serialize_with = "lossy::path")]
    pub artwork: PathBuf,
    /// The first part of the names of its products.
    pub name: String,
    /// What became of it.
    pub outcome: Outcome,
    /// What it comes to, where it could be sewn.
    #[serde(flatten)]
    pub figures: Option<Figures>,
    /// Its products, as they lie in the folder now.
    #[serde(serialize_with = "lossy::each")]
    pub files: Vec<PathBuf>,
    /// Everything noticed on the way, and why it failed. Nothing where it was left unchanged.
    pub findings: Vec<Diagnostic>,
}

impl Finished {
    /// The first error.
    pub fn error(&self) -> Option<&Diagnostic> {
        self.findings
            .iter()
            .find(|finding| finding.severity == Severity::Error)
    }
}

/// Sums over a batch.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Totals {
    /// All artworks.
    pub artworks: usize,
    /// Those whose products have been written.
    pub sewn: usize,
    /// Those whose products were there already.
    pub unchanged: usize,
    /// Those that are wrong.
    pub failed: usize,
    /// Those whose products cannot be written.
    pub not_written: usize,
    /// Stitches of those sewn and unchanged.
    pub stitches: usize,
    /// Seconds at the machine for one of each sewn and unchanged.
    pub seconds: f64,
}

impl Totals {
    /// Counts an artwork.
    pub fn add(&mut self, finished: &Finished) {
        self.artworks += 1;
        match finished.outcome {
            Outcome::Sewn => self.sewn += 1,
            Outcome::Unchanged => self.unchanged += 1,
            Outcome::Failed => self.failed += 1,
            Outcome::NotWritten => self.not_written += 1,
        }
        if let (Outcome::Sewn | Outcome::Unchanged, Some(figures)) =
            (finished.outcome, finished.figures)
        {
            self.stitches += figures.stitches;
            self.seconds += figures.seconds;
        }
    }
}
