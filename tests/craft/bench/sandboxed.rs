//! The stock steps in the sandbox, called through the host's library.

use hoopwright::design::{Object, Thread};
use hoopwright::plugins::Plugins;
use hoopwright::sandbox::{Limits, Plugin, Sandbox};
use hoopwright_craft::native::Outcome;
use hoopwright_craft::runs::Run;
use hoopwright_sdk::{self as sdk, Failure, Finding};
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::sync::Arc;
use std::time::Instant;

/// All stock steps.
pub struct Steps(Plugins);

/// A step with its settings.
pub struct Step<'a> {
    sandbox: &'a Sandbox,
    plugin: Arc<Plugin>,
    thread: Thread,
    settings: String,
}

/// The host's and the SDK's types are generated from one contract, so JSON carries each to the other.
fn carried<T: DeserializeOwned>(value: &impl Serialize) -> T {
    serde_json::from_value(serde_json::to_value(value).unwrap()).unwrap()
}

impl Steps {
    pub fn new() -> Self {
        let sandbox = Sandbox::new(Limits::default(), None).unwrap();
        Self(Plugins::stock(Arc::new(sandbox)))
    }

    pub fn ready(&self, run: &Run, thread: &sdk::Thread) -> Step<'_> {
        Step {
            sandbox: self.0.sandbox(),
            plugin: self.0.get(run.step.name()).unwrap().unwrap(),
            thread: carried(thread),
            settings: run.settings.to_string(),
        }
    }
}

impl Step<'_> {
    /// The object as the sandbox takes it.
    pub fn object(&self, object: &sdk::Object) -> Object {
        carried(object)
    }

    /// Calls the step. The time has copying in and out in it.
    pub fn call(&self, object: &Object) -> Outcome {
        let before = Instant::now();
        let answer = self
            .sandbox
            .call_object(&self.plugin, object, &self.thread, &self.settings);
        let took = before.elapsed();
        match answer {
            Ok(answer) => Outcome {
                object: Ok(carried(&answer.value)),
                findings: answer.log.findings.iter().map(finding).collect(),
                took,
            },
            Err(error) => Outcome {
                object: Err(Failure::new(error.to_string())),
                findings: Vec::new(),
                took,
            },
        }
    }
}

/// What a step noticed, in the SDK's type. Its words are all that is asked for.
fn finding(finding: &hoopwright::sandbox::bindings::messages::Finding) -> Finding {
    Finding::warning(finding.message.clone())
}
