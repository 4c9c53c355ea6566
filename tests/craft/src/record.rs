//! What was sewn and how long it took, as `tests/oracle/craft.py` reads it.

use crate::native::Outcome;
use crate::regions::Sample;
use crate::runs::Run;
use hoopwright_sdk::{StitchBlock, StitchKind, StitchRole};
use serde::Serialize;
use serde_json::Value;
use std::fs::{self, File};
use std::io::{self, BufWriter, Write as _};

/// How long one region took.
#[derive(Clone, Debug, Serialize)]
pub struct Time {
    /// The name of the run.
    pub run: String,
    /// The name of the region.
    pub region: String,
    /// Seconds as an ordinary function, the median of all repetitions.
    pub native: f64,
    /// Seconds in the sandbox, the same way, where it was measured.
    pub wasm: Option<f64>,
}

/// Writes the stitches of a run: a header line, then a line for each region.
pub struct Stitches(BufWriter<File>);

#[derive(Serialize)]
struct Header<'a> {
    run: &'a str,
    step: &'static str,
    settings: Value,
}

#[derive(Serialize)]
struct Sewn<'a> {
    region: &'a str,
    failure: Option<&'a str>,
    findings: Vec<&'a str>,
    stitches: Vec<Block<'a>>,
}

#[derive(Serialize)]
struct Block<'a> {
    kind: &'static str,
    role: &'static str,
    x: &'a [f64],
    y: &'a [f64],
}

impl Stitches {
    /// Begins the file of a run, `target/craft/stitches/<run>.jsonl`.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn of(run: &Run, settings: Value) -> io::Result<Self> {
        let folder = crate::folder().join("stitches");
        fs::create_dir_all(&folder)?;
        let file = File::create(folder.join(format!("{}.jsonl", run.name)))?;
        let mut stitches = Self(BufWriter::new(file));
        stitches.line(&Header {
            run: &run.name,
            step: run.step.name(),
            settings,
        })?;
        Ok(stitches)
    }

    /// Adds a region.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn add(&mut self, sample: &Sample, outcome: &Outcome) -> io::Result<()> {
        let object = outcome.object.as_ref();
        let blocks = object.map_or(&[][..], |object| object.stitches.as_slice());
        let findings = &outcome.findings;
        self.line(&Sewn {
            region: &sample.name,
            failure: object.err().map(|failure| failure.message.as_str()),
            findings: findings.iter().map(|one| one.message.as_str()).collect(),
            stitches: blocks.iter().map(block).collect(),
        })
    }

    /// Ends the file.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn finish(mut self) -> io::Result<()> {
        self.0.flush()
    }

    fn line(&mut self, value: &impl Serialize) -> io::Result<()> {
        serde_json::to_writer(&mut self.0, value)?;
        writeln!(self.0)
    }
}

fn block(block: &StitchBlock) -> Block<'_> {
    Block {
        kind: match block.kind {
            StitchKind::Needle => "needle",
            StitchKind::Jump => "jump",
            StitchKind::Trim => "trim",
            StitchKind::Stop => "stop",
        },
        role: match block.role {
            StitchRole::Underlay => "underlay",
            StitchRole::Cover => "cover",
            StitchRole::Travel => "travel",
            StitchRole::Tie => "tie",
        },
        x: &block.x,
        y: &block.y,
    }
}

/// Writes the times of all runs, `target/craft/times.json`.
///
/// # Errors
/// When the file cannot be written.
pub fn write_times(times: &[Time]) -> io::Result<()> {
    let text = serde_json::to_string(times)?;
    fs::write(crate::folder().join("times.json"), text)
}
