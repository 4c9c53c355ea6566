//! A design on its way through the steps.

use super::Selection;
use super::check::{Checked, Ready};
use super::confine::Confines;
use super::measures::Measures;
use super::spent::Spent;
use super::step_cache::StepCache;
use super::trail::Walk;
use crate::design::promise::{broken_by_design_step, broken_by_object_step};
use crate::design::{Design, Object, Thread, texts};
use crate::diagnostics::{Choice, Diagnostic, Failed, Severity};
use crate::sandbox::bindings::messages;
use crate::sandbox::{
    Answer, CallError, Kind, Log, PieceCache, Progress, Sandbox, Unanswered, harmless,
};
use rayon::prelude::*;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

/// So many broken promises of a step are told one by one: a million objects can break a million.
const MOST_BLAMED: usize = 20;

/// Told how a run goes on.
pub trait Watch: Send + Sync {
    /// A step begins: its label, and the number of objects it acts on.
    fn begins(&self, _label: &str, _objects: usize) {}
    /// How far the step is, from 0 to 1.
    fn progress(&self, _fraction: f64) {}
    /// A line that a step logged, and the id of the object that an object step was at work on.
    fn log(&self, _label: &str, _object: Option<&str>, _debug: bool, _line: &str) {}
}

/// Watches nothing.
impl Watch for () {}

/// How far a run has come.
#[derive(Clone)]
pub(super) struct Reached {
    pub design: Design,
    pub findings: Vec<Diagnostic>,
    /// The parts that the last step stands in.
    pub confines: Confines,
}

/// What a run gave.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// The design after the last step.
    pub design: Design,
    /// What the steps found, in order.
    pub findings: Vec<Diagnostic>,
}

/// Sends `design` through all steps of a checked pipeline. Whoever runs it again and again gives a
/// `cache`, so that object steps run anew only on what has changed, and steps before the first change
/// not at all.
///
/// # Errors
/// Everything that went wrong in the first step that failed, after the findings before it.
pub fn run(
    checked: &Checked,
    design: Design,
    sandbox: &Sandbox,
    cache: Option<&StepCache>,
    watch: &Arc<dyn Watch>,
) -> Result<Outcome, Failed> {
    let mut walk = cache.map(|cache| Walk::begin(cache, checked, &design));
    let known = walk.as_ref().and_then(Walk::known);
    let (known, mut reached) = known.unwrap_or_else(|| (0, Reached::begin(design)));
    let mut measures = Measures::default();
    for ready in &checked.steps[known..] {
        let selected = reached.select(ready, checked, &mut measures);
        let done = take(ready, &mut reached, &selected, sandbox, cache, watch);
        if !done {
            walk.into_iter().for_each(Walk::end);
            return Err(Failed(reached.findings));
        }
        if let Some(walk) = &mut walk {
            walk.pass(&reached);
        }
    }
    walk.into_iter().for_each(Walk::end);
    if let Some(cache) = cache {
        cache.sweep();
    }
    Ok(Outcome {
        design: reached.design,
        findings: reached.findings,
    })
}

/// Runs one step on the objects at the places `selected`, whatever its selection says.
///
/// # Errors
/// Everything that went wrong, after what was found before it.
pub fn run_step(
    ready: &Ready,
    design: Design,
    selected: &[usize],
    sandbox: &Sandbox,
    watch: &Arc<dyn Watch>,
) -> Result<Outcome, Failed> {
    let mut reached = Reached::begin(design);
    if take(ready, &mut reached, selected, sandbox, None, watch) {
        Ok(Outcome {
            design: reached.design,
            findings: reached.findings,
        })
    } else {
        Err(Failed(reached.findings))
    }
}

/// Runs a step on the objects at the places `selected`. Says whether all went well.
fn take(
    ready: &Ready,
    reached: &mut Reached,
    selected: &[usize],
    sandbox: &Sandbox,
    cache: Option<&StepCache>,
    watch: &Arc<dyn Watch>,
) -> bool {
    watch.begins(&ready.label, selected.len());
    let mut turn = Turn {
        ready,
        sandbox,
        watch,
        findings: &mut reached.findings,
    };
    let design = &mut reached.design;
    match ready.plugin.kind {
        // A step is not asked to do nothing.
        _ if selected.is_empty() => true,
        Kind::Object => turn.objects(design, selected, cache),
        Kind::Design => turn.design(design, selected, &mut reached.confines, cache),
    }
}

impl Reached {
    fn begin(design: Design) -> Self {
        Self {
            design,
            findings: Vec::new(),
            confines: Confines::default(),
        }
    }

    /// The places of the objects that the next step may act on: those that its own selection takes,
    /// among what belongs to the part that it stands in. Tells where there are none.
    fn select(&mut self, ready: &Ready, checked: &Checked, measures: &mut Measures) -> Vec<usize> {
        let (design, groups) = (&self.design, &checked.groups);
        let empty = self.confines.go_to(ready.within, groups, design, measures);
        for group in empty.into_iter().map(|group| &groups[group]) {
            let note = nothing_selected("part", &group.label, &group.on, design);
            self.findings.push(note);
        }
        if self.confines.are_empty() {
            return Vec::new();
        }
        let on = &ready.step.on;
        let selected = self.confines.keep(design, on.places_with(design, measures));
        if selected.is_empty() {
            let note = nothing_selected("step", &ready.label, on, design);
            self.findings.push(note);
        }
        selected
    }
}

fn nothing_selected(what: &str, label: &str, on: &Selection, design: &Design) -> Diagnostic {
    let words = format!("the {what}'s selection takes no object");
    let stranger = on.stranger(design);
    let severity = match &stranger {
        Some(stranger) if stranger.is_a_slip => Severity::Warning,
        _ => Severity::Note,
    };
    let told = Diagnostic::new(severity, "nothing-selected", words).in_step(label);
    match stranger {
        Some(stranger) => told.help(stranger.hint),
        None => told,
    }
}

/// One step at work.
struct Turn<'a> {
    ready: &'a Ready,
    sandbox: &'a Sandbox,
    watch: &'a Arc<dyn Watch>,
    findings: &'a mut Vec<Diagnostic>,
}

impl Turn<'_> {
    /// Runs an object step on all selected objects at once. Says whether all went well.
    fn objects(
        &mut self,
        design: &mut Design,
        selected: &[usize],
        cache: Option<&StepCache>,
    ) -> bool {
        let done = AtomicUsize::new(0);
        let spent = Spent::of(self.sandbox.limits());
        let (ready, sandbox, watch) = (self.ready, self.sandbox, self.watch);
        let source = &*design;
        let results: Vec<Option<Result<Answer<Object>, Unanswered>>> = selected
            .par_iter()
            .map(|&place| {
                let object = &source.objects[place];
                let thread = &source.threads[object.thread as usize];
                let result = spent.hold(|| call(ready, sandbox, object, thread, cache));
                let so_far = done.fetch_add(1, Ordering::Relaxed) + 1;
                watch.progress(so_far as f64 / selected.len() as f64);
                result
            })
            .collect();
        if let Some(why) = spent.over() {
            self.failed(&why, None);
            return false;
        }
        let mut well = true;
        for (&place, result) in selected.iter().zip(results.into_iter().flatten()) {
            let before = &design.objects[place];
            match result {
                Ok(answer) => {
                    self.hear(answer.log, Some(&before.id));
                    let mut broken = broken_by_object_step(before, &answer.value);
                    broken.extend(texts::object_problem(&answer.value));
                    well &= broken.is_empty();
                    self.blame(broken);
                    design.objects[place] = answer.value;
                }
                Err(Unanswered { why, log }) => {
                    well = false;
                    let id = before.id.clone();
                    self.hear(log, Some(&id));
                    self.failed(&why, Some(id));
                }
            }
        }
        well && self.fits(design)
    }

    /// Runs a design step. Says whether all went well.
    fn design(
        &mut self,
        design: &mut Design,
        selected: &[usize],
        confines: &mut Confines,
        cache: Option<&StepCache>,
    ) -> bool {
        let places: Vec<u32> = selected.iter().map(|&place| place as u32).collect();
        let watch = Arc::clone(self.watch);
        let progress: Progress = Arc::new(move |fraction| watch.progress(fraction));
        let answer = self.sandbox.call_design(
            &self.ready.plugin,
            design,
            &places,
            &self.ready.settings,
            Some(progress),
            cache.map(|cache| cache as &dyn PieceCache),
        );
        match answer {
            Ok(answer) => {
                self.hear(answer.log, None);
                let mut broken = broken_by_design_step(design, &answer.value, selected);
                broken.extend(texts::problems(&answer.value));
                let well = broken.is_empty();
                self.blame(broken);
                confines.follow(&design.objects, &answer.value.objects);
                *design = answer.value;
                well && self.fits(design)
            }
            Err(Unanswered { why, log }) => {
                self.hear(log, None);
                self.failed(&why, None);
                false
            }
        }
    }

    /// Whether the design has no more stitches than it may, and says so if it has.
    fn fits(&mut self, design: &Design) -> bool {
        let most = self.sandbox.limits().stitches;
        let blocks = design.objects.iter().flat_map(|object| &object.stitches);
        let stitches: usize = blocks.map(|block| block.x.len()).sum();
        if stitches > most {
            let words =
                format!("the step left {stitches} stitches in the design, and the limit is {most}");
            let problem = Diagnostic::error("too-many-stitches", words).in_step(&self.ready.label);
            let help = "Better split the design; if it is truly that large, raise the limit.";
            self.findings
                .push(problem.help(help).choosing(Choice::Stitches));
        }
        stitches <= most
    }

    fn hear(&mut self, log: Log, object: Option<&str>) {
        for line in &log.lines {
            self.watch
                .log(&self.ready.label, object, line.debug, &line.text);
        }
        for finding in log.findings {
            let mut diagnostic =
                Diagnostic::new(severity(finding.severity), "finding", finding.message)
                    .in_step(&self.ready.label);
            diagnostic.object = finding.object.or_else(|| object.map(str::to_owned));
            diagnostic.place = finding.place.map(|place| [place.x, place.y]);
            diagnostic.help = finding.help;
            self.findings.push(diagnostic);
        }
        if log.dropped > 0 {
            self.findings.push(
                Diagnostic::warning(
                    "messages-dropped",
                    format!(
                        "the step said more than is kept; {} messages were dropped",
                        log.dropped
                    ),
                )
                .in_step(&self.ready.label),
            );
        }
    }

    fn blame(&mut self, mut broken: Vec<String>) {
        let more = broken.len().saturating_sub(MOST_BLAMED);
        if more > 0 {
            broken.truncate(MOST_BLAMED);
            broken.push(format!("and {more} more such things"));
        }
        for sentence in broken {
            let sentence = harmless(&sentence);
            self.findings.push(
                Diagnostic::error(
                    "broken-promise",
                    format!("the step broke its promise: {sentence}"),
                )
                .in_step(&self.ready.label)
                .help(
                    "This is a fault in the plugin; send its maker this message and the artwork.",
                ),
            );
        }
    }

    fn failed(&mut self, error: &CallError, object: Option<String>) {
        let mut diagnostic = match error {
            CallError::Unready(why) => (**why).clone(),
            error => Diagnostic::error("step-failed", format!("the step failed: {error}")),
        }
        .in_step(&self.ready.label);
        diagnostic.object = match error {
            CallError::Failure(failure) => failure.object.clone().or(object),
            _ => object,
        };
        diagnostic.help = error.help();
        diagnostic.choice = error.choice();
        self.findings.push(diagnostic);
    }
}

fn call(
    ready: &Ready,
    sandbox: &Sandbox,
    object: &Object,
    thread: &Thread,
    cache: Option<&StepCache>,
) -> Result<Answer<Object>, Unanswered> {
    let run = || sandbox.call_object(&ready.plugin, object, thread, &ready.settings);
    let Some(cache) = cache else {
        return run();
    };
    let key = StepCache::key(&ready.plugin, object, thread, &ready.settings);
    if let Some(answer) = cache.get(&key) {
        return Ok(answer);
    }
    let answer = run()?;
    cache.put(key, answer.clone());
    Ok(answer)
}

fn severity(severity: messages::Severity) -> Severity {
    match severity {
        messages::Severity::Note => Severity::Note,
        messages::Severity::Warning => Severity::Warning,
        messages::Severity::Error => Severity::Error,
    }
}
