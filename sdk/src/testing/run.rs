//! One run of a step in a test.

use super::{Done, sandbox, schema};
use crate::{Design, Failure, Finding, Process, Step, messages, promise};
use serde_json::{Value, json};

/// Prepares a run of `step` on `design`, with its default settings and on all objects.
pub fn run(step: &Step, design: impl Into<Design>) -> Run {
    Run {
        step: step.clone(),
        design: design.into(),
        settings: json!({}),
        on: None,
    }
}

/// A run that a test prepares.
#[derive(Clone, Debug)]
#[must_use = "nothing runs before `natively` or `in_the_sandbox` is called"]
pub struct Run {
    pub(super) step: Step,
    pub(super) design: Design,
    pub(super) settings: Value,
    pub(super) on: Option<Vec<String>>,
}

impl Run {
    /// With these settings, as a pipeline file has them.
    pub fn with(mut self, settings: Value) -> Self {
        self.settings = settings;
        self
    }

    /// On the objects with these ids only, as if the pipeline selected them.
    pub fn on(mut self, ids: &[&str]) -> Self {
        self.on = Some(ids.iter().map(|&id| id.to_owned()).collect());
        self
    }

    /// Runs the step as native code.
    ///
    /// # Panics
    /// When the settings do not fit the step's schema, when the step fails, and when it breaks a
    /// promise of the contract.
    pub fn natively(&self) -> Done {
        let (answer, done) = self.attempt();
        if let Err(failure) = answer {
            panic!("the step failed: {}", told(&failure));
        }
        let broken = broken(&self.step, &self.design, &done.after, &self.places());
        assert!(
            broken.is_empty(),
            "the step broke its promise:\n{}",
            broken.join("\n")
        );
        let untrue = untrue(&self.design, Some(&done.after), &done.findings);
        assert!(untrue.is_empty(), "{}", untrue.join("\n"));
        done
    }

    /// Runs the step as native code, and gives why it failed.
    ///
    /// # Panics
    /// When the settings do not fit the step's schema, and when the step does not fail.
    pub fn failure(&self) -> Failure {
        match self.attempt().0 {
            Err(failure) => failure,
            Ok(()) => panic!("the step did not fail"),
        }
    }

    /// Runs the step in the sandbox of the program `hoopwright`: of the plugin that `hoopwright try`
    /// has made, `out/<name>.wasm`. The environment may name another program in `HOOPWRIGHT` and
    /// another plugin in `HOOPWRIGHT_PLUGIN`.
    ///
    /// # Panics
    /// When program or plugin are missing, or when the program tells an error.
    pub fn in_the_sandbox(&self) -> Done {
        self.check();
        sandbox::apply(self)
    }

    /// Runs the step both ways, and gives what the native one gave.
    ///
    /// # Panics
    /// As [`Run::natively`] and [`Run::in_the_sandbox`], and when the two differ by more than a
    /// millionth of a millimetre: trigonometry comes from another library natively.
    pub fn both_ways(&self) -> Done {
        let done = self.natively();
        self.in_the_sandbox().same_as(&done);
        done
    }

    /// The places of the selected objects.
    pub(super) fn places(&self) -> Vec<usize> {
        let objects = &self.design.objects;
        let Some(ids) = &self.on else {
            return (0..objects.len()).collect();
        };
        let place = |id: &String| objects.iter().position(|object| object.id == *id);
        let mut places: Vec<usize> = ids
            .iter()
            .map(|id| match place(id) {
                Some(place) => place,
                None => panic!("the design has no object \"{id}\""),
            })
            .collect();
        places.sort_unstable();
        places.dedup();
        places
    }

    fn attempt(&self) -> (Result<(), Failure>, Done) {
        self.check();
        messages::take();
        messages::take_log();
        let settings = self.settings.to_string();
        let answer = self
            .step
            .apply(self.design.clone(), &self.places(), &settings);
        let (answer, after) = match answer {
            Ok(after) => (Ok(()), after),
            Err(failure) => (Err(failure), self.design.clone()),
        };
        let done = Done {
            before: self.design.clone(),
            after,
            findings: messages::take(),
            log: messages::take_log(),
        };
        (answer, done)
    }

    fn check(&self) {
        let problems = schema::problems(&schema::of(&self.step), &self.settings);
        assert!(
            problems.is_empty(),
            "the settings do not fit the step's schema:\n{}",
            problems.join("\n")
        );
        let problems = crate::valid::problems(&self.design);
        assert!(
            problems.is_empty(),
            "the test's own design is not sound:\n{}",
            problems.join("\n")
        );
    }
}

/// Findings that point at what is not there, as sentences: the program leaves out such a place, and a shop looks in
/// vain for such an object.
pub(super) fn untrue(before: &Design, after: Option<&Design>, findings: &[Finding]) -> Vec<String> {
    let designs = || std::iter::once(before).chain(after);
    let is_there =
        |id: &String| designs().any(|design| design.objects.iter().any(|it| it.id == *id));
    let mut untrue = Vec::new();
    for finding in findings {
        let words = &finding.message;
        if finding
            .place
            .is_some_and(|at| !(at.x.is_finite() && at.y.is_finite()))
        {
            untrue.push(format!(
                "the finding \"{words}\" has a place that is no number"
            ));
        }
        if let Some(id) = finding.object.as_ref().filter(|id| !is_there(id)) {
            untrue.push(format!(
                "the finding \"{words}\" is about the object \"{id}\", which the design has neither before nor after"
            ));
        }
    }
    untrue
}

fn told(failure: &Failure) -> String {
    let about = failure.object.iter().map(|id| format!("object \"{id}\": "));
    let help = failure.help.iter().map(|help| format!(" {help}"));
    about
        .chain([failure.message.clone()])
        .chain(help)
        .collect::<String>()
}

/// What the step broke of the contract, as sentences.
pub(super) fn broken(
    step: &Step,
    before: &Design,
    after: &Design,
    selected: &[usize],
) -> Vec<String> {
    match step.process {
        Process::Design(_) => promise::broken_by_design_step(before, after, selected),
        Process::Object(_) => selected
            .iter()
            .flat_map(|&place| {
                promise::broken_by_object_step(&before.objects[place], &after.objects[place])
            })
            .collect(),
    }
}
