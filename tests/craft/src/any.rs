//! Objects and settings made of any bytes, and what must hold of all that is sewn from them.
//!
//! The fuzz targets in `tests/fuzz` and the property test in `tests/craft/tests` share them.

mod object;
mod settings;
pub mod sound;

use crate::native::{Outcome, Ready, thread};
use crate::runs::Step;
use arbitrary::Unstructured;
use hoopwright_sdk::Object;
use serde::{Deserialize, Serialize};
use serde_json::Value;

/// What a step is to sew. What was found once is kept as JSON: what bytes stand for changes with
/// every setting that a step gains.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Case {
    /// The step.
    pub step: Step,
    /// Its settings, each in its range.
    pub settings: Value,
    /// What it gets; no bad shape is ruled out.
    pub object: Object,
}

impl Case {
    /// The case that these bytes stand for. There is one for any bytes; where they end early, what
    /// is left to choose is chosen the simplest way.
    pub fn of(step: Step, bytes: &[u8]) -> Self {
        let mut bytes = Unstructured::new(bytes);
        Self {
            step,
            settings: settings::any(step, &mut bytes).unwrap_or_default(),
            object: object::any(step, &mut bytes).unwrap_or_else(|_| object::nothing()),
        }
    }

    /// Sews the case.
    ///
    /// # Errors
    /// When the step refuses settings that its own schema allows.
    pub fn sew(&self) -> Result<Outcome, String> {
        let ready = Ready::read(self.step, self.settings.clone()).map_err(|e| e.to_string())?;
        Ok(ready.call(self.object.clone(), &thread()))
    }
}
