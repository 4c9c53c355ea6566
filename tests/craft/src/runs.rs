//! Which steps sew which regions, with which settings: `tests/craft/runs.json`.

use crate::regions::Sample;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::error::Error;

/// One step with one choice of settings, on some of the regions.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Run {
    /// Its name; the file of its stitches is named so.
    pub name: String,
    /// The step.
    pub step: Step,
    /// The step's settings; what is left out is the step's default.
    pub settings: Value,
    /// The regions whose `set/name` begins with one of these; all where there is none.
    #[serde(default)]
    pub only: Vec<String>,
    /// Direction marks from tail to head, each as shares of the width and height of the box around
    /// the region, from its left and top.
    #[serde(default)]
    pub marks: Vec<[[f64; 2]; 2]>,
}

/// The steps that make fills.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Step {
    /// Rows of stitches.
    RegionFill,
    /// Stitches from edge to edge.
    SatinColumn,
}

impl Step {
    /// The name that pipelines use.
    pub fn name(self) -> &'static str {
        match self {
            Self::RegionFill => "region-fill",
            Self::SatinColumn => "satin-column",
        }
    }
}

/// All runs, in order.
///
/// # Errors
/// When the file is not a list of runs.
pub fn read() -> Result<Vec<Run>, Box<dyn Error>> {
    let runs: Vec<Run> = serde_json::from_str(include_str!("../runs.json"))
        .map_err(|error| format!("tests/craft/runs.json: {error}"))?;
    Ok(runs)
}

impl Run {
    /// Whether the run sews this region.
    pub fn sews(&self, sample: &Sample) -> bool {
        let full = format!("{}/{}", sample.set, sample.name);
        self.only.is_empty() || self.only.iter().any(|start| full.starts_with(start))
    }
}
