//! The steps called as the ordinary functions they are.

use crate::runs::{Run, Step};
use hoopwright_region_fill::{RegionFill, region_fill};
use hoopwright_satin_column::{SatinColumn, satin_column};
use hoopwright_sdk::{Failure, Finding, Object, Thread, messages};
use serde_json::Value;
use std::error::Error;
use std::time::{Duration, Instant};

/// A step with its settings read.
pub struct Ready(Settings);

enum Settings {
    Fill(RegionFill),
    Satin(SatinColumn),
}

/// What a step gave.
pub struct Outcome {
    /// The object with its stitches, or why there are none.
    pub object: Result<Object, Failure>,
    /// What the step noticed.
    pub findings: Vec<Finding>,
    /// How long it took.
    pub took: Duration,
}

/// The thread of all regions.
pub fn thread() -> Thread {
    Thread {
        name: "blue".to_owned(),
        code: String::new(),
        red: 30,
        green: 60,
        blue: 120,
        weight: 40,
    }
}

impl Ready {
    /// Reads a run's settings.
    ///
    /// # Errors
    /// When the step does not know one of them.
    pub fn new(run: &Run) -> Result<Self, Box<dyn Error>> {
        Self::read(run.step, run.settings.clone())
            .map_err(|error| format!("the settings of run {}: {error}", run.name).into())
    }

    /// Reads a step's settings.
    ///
    /// # Errors
    /// When the step does not know one of them.
    pub fn read(step: Step, settings: Value) -> serde_json::Result<Self> {
        Ok(Self(match step {
            Step::RegionFill => Settings::Fill(serde_json::from_value(settings)?),
            Step::SatinColumn => Settings::Satin(serde_json::from_value(settings)?),
        }))
    }

    /// All settings with their values, those left out too.
    pub fn settings(&self) -> Value {
        let value = match &self.0 {
            Settings::Fill(settings) => serde_json::to_value(settings),
            Settings::Satin(settings) => serde_json::to_value(settings),
        };
        value.unwrap_or_default()
    }

    /// Calls the step.
    pub fn call(&self, object: Object, thread: &Thread) -> Outcome {
        drop(messages::take());
        let before = Instant::now();
        let object = match &self.0 {
            Settings::Fill(settings) => region_fill(object, thread, settings),
            Settings::Satin(settings) => satin_column(object, thread, settings),
        };
        Outcome {
            took: before.elapsed(),
            object,
            findings: messages::take(),
        }
    }
}
