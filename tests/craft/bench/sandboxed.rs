//! The stock steps in the sandbox, called through the host's library.

use hoopwright::design::{Object, Thread};
use hoopwright::plugins::Plugins;
use hoopwright::sandbox::{Limits, Plugin, Sandbox};
use hoopwright_craft::runs::Run;
use hoopwright_sdk as sdk;
use serde::Serialize;
use serde::de::DeserializeOwned;
use std::sync::Arc;
use std::time::{Duration, Instant};

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

    /// Calls the step: the object with its stitches, or why there are none, and how long it took,
    /// copying in and out included.
    pub fn call(&self, object: &Object) -> (Result<Object, String>, Duration) {
        let before = Instant::now();
        let answer =
            self.sandbox
                .call_object(&self.plugin, object, &self.thread, &self.settings);
        let took = before.elapsed();
        let object = answer.map(|answer| answer.value);
        (object.map_err(|error| error.to_string()), took)
    }
}
