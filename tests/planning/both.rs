//! One step on one design, by turns in the sandbox and as an ordinary function.

use hoopwright::plugins::Plugins;
use hoopwright::sandbox::{Limits, Sandbox};
use hoopwright_sdk::{self as sdk, Failure, messages};
use rayon::ThreadPoolBuilder;
use serde::de::DeserializeOwned;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// The stock steps.
pub struct Planner(Plugins);

/// How long both took, and the last thing that the step said.
pub struct Took {
    pub native: Duration,
    pub wasm: Duration,
    pub says: String,
}

/// Repetitions go on until so many are done, or so much time is spent.
const MOST: usize = 5;
const ENOUGH: Duration = Duration::from_secs(4);

impl Planner {
    pub fn new() -> Self {
        let sandbox = Sandbox::new(Limits::default(), None).unwrap();
        Self(Plugins::stock(Arc::new(sandbox)))
    }

    /// Plans `design` with the step's defaults, all objects selected. Copying in and out of the
    /// sandbox is in its time.
    pub fn plan(&self, step: &str, design: &sdk::Design) -> Took {
        let plugin = self.0.get(step).unwrap().unwrap();
        let hosts: hoopwright::design::Design =
            serde_json::from_value(serde_json::to_value(design).unwrap()).unwrap();
        let selected: Vec<u32> = (0..design.objects.len() as u32).collect();
        // What a step gives out in pieces is worked on by this one thread, as natively.
        let one_thread = ThreadPoolBuilder::new().num_threads(1).build().unwrap();
        let begun = Instant::now();
        let (mut natives, mut wasms) = (Vec::new(), Vec::new());
        let mut says = String::new();
        while natives.is_empty() || natives.len() < MOST && begun.elapsed() < ENOUGH {
            natives.push(native(step, design.clone()));
            says = messages::take()
                .pop()
                .map_or_else(String::new, |found| found.message);
            let sandbox = self.0.sandbox();
            let call = || sandbox.call_design(&plugin, &hosts, &selected, "{}", None, None);
            let before = Instant::now();
            let answer = one_thread.install(call);
            wasms.push(before.elapsed());
            answer.unwrap();
        }
        Took {
            native: median(natives),
            wasm: median(wasms),
            says,
        }
    }
}

fn median(mut times: Vec<Duration>) -> Duration {
    times.sort();
    times[times.len() / 2]
}

fn native(step: &str, design: sdk::Design) -> Duration {
    match step {
        "cut-layers" => timed(design, hoopwright_cut_layers::cut_layers),
        "join-outlines" => timed(design, hoopwright_join_outlines::join_outlines),
        "sew-order" => timed(design, hoopwright_sew_order::sew_order),
        "starts-and-finishes" => timed(design, hoopwright_starts_and_finishes::starts_and_finishes),
        "ties-and-trims" => timed(design, hoopwright_ties_and_trims::ties_and_trims),
        other => panic!("{other} has no native twin here"),
    }
}

fn timed<S: DeserializeOwned>(
    design: sdk::Design,
    step: fn(sdk::Design, &[usize], &S) -> Result<sdk::Design, Failure>,
) -> Duration {
    let settings: S = serde_json::from_str("{}").unwrap();
    let selected: Vec<usize> = (0..design.objects.len()).collect();
    let before = Instant::now();
    step(design, &selected, &settings).unwrap();
    before.elapsed()
}
