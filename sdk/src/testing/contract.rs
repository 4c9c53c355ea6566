//! The contract as a property test.

use super::{cases, expected, run, schema};
use crate::{Design, Failure, Step, messages};
use proptest::test_runner::{Config, RngAlgorithm, TestCaseError, TestError, TestRng, TestRunner};
use serde_json::{Value, json};
use std::cell::RefCell;
use std::panic::{self, AssertUnwindSafe};
use std::sync::Once;

/// How many designs are tried unless the environment's `HOOPWRIGHT_CASES` says otherwise.
const CASES: u32 = 128;
/// The most lines of a design that a failure shows.
const SHOWN: usize = 80;

/// Holds a step to the contract: on designs and settings made at random, always the same ones.
///
/// - Its description is whole, and each default fits its setting's own range.
/// - The same design and settings give the same answer each time.
/// - An object step keeps the id and the thread of its object. A design step gives every object that
///   was not selected back as it was, in the same order, keeps title and page, and adds threads only
///   at the end. Ids are unique.
/// - Every coordinate is finite and within 10 m of the origin.
/// - It does not panic. It may fail, with a sentence that says why.
///
/// # Panics
/// When something does not hold, with the smallest design that was found to show it.
pub fn keeps_the_contract(step: &Step) {
    let schema = schema::of(step);
    let problems = description_problems(step, &schema);
    assert!(
        problems.is_empty(),
        "the step's description is not whole:\n{}",
        problems.join("\n")
    );
    let cases = std::env::var("HOOPWRIGHT_CASES").ok();
    let config = Config {
        cases: cases.and_then(|cases| cases.parse().ok()).unwrap_or(CASES),
        max_shrink_iters: 1000,
        failure_persistence: None,
        ..Config::default()
    };
    let rng = TestRng::deterministic_rng(RngAlgorithm::ChaCha);
    let mut runner = TestRunner::new_with_rng(config, rng);
    let given = (cases::designs(), cases::settings(&schema));
    let result = runner.run(&given, |((design, selected), settings)| {
        keeps_the_contract_on(step, &design, &selected, &settings).map_err(TestCaseError::fail)
    });
    match result {
        Ok(()) => {}
        Err(TestError::Fail(why, ((design, selected), settings))) => {
            panic!(
                "{why}\n\nwith the settings {settings}\non {} of this design:\n{}",
                names(&design, &selected),
                shortened(&expected::text(&design, &[]))
            );
        }
        Err(TestError::Abort(why)) => panic!("no designs could be made: {why}"),
    }
}

fn names(design: &Design, selected: &[usize]) -> String {
    let ids: Vec<&str> = selected
        .iter()
        .map(|&place| design.objects[place].id.as_str())
        .collect();
    match ids.as_slice() {
        [] => "no object".to_owned(),
        ids => ids.join(", "),
    }
}

fn shortened(text: &str) -> String {
    let lines = text.lines().count();
    let mut shown: Vec<&str> = text.lines().take(SHOWN).collect();
    if lines > SHOWN {
        shown.push("…");
    }
    shown.join("\n")
}

/// What a person who runs the step would miss.
fn description_problems(step: &Step, schema: &Value) -> Vec<String> {
    let mut problems = schema::problems(schema, &json!({}));
    problems.extend(schema::unfit_defaults(schema));
    let description = &step.description;
    let word = |word: &str| {
        let mut letters = word.chars();
        !word.is_empty() && letters.all(|c| c.is_ascii_lowercase() || c.is_ascii_digit())
    };
    if !description.name.split('-').all(word) || description.name.len() > 64 {
        problems.push(format!(
            "its name \"{}\" is not lower-case words joined by hyphens",
            description.name
        ));
    }
    if description.summary.trim().is_empty() {
        problems.push("it has no summary".to_owned());
    }
    if schema["type"] != "object" {
        problems.push("its settings are not an object".to_owned());
    }
    for (name, property) in schema["properties"].as_object().into_iter().flatten() {
        let target = property["$ref"]
            .as_str()
            .and_then(|reference| schema.pointer(reference.strip_prefix('#')?));
        let described = |schema: &Value| schema.get("description").is_some();
        if !described(property) && !target.is_some_and(described) {
            problems.push(format!("its setting \"{name}\" has no doc comment"));
        }
    }
    problems
}

type Answer = (Result<Design, Failure>, Vec<crate::Finding>);

/// Holds a step to the contract on one sound design, the places of its selected objects, and settings
/// that fit the step's schema: for fuzzing, and for whoever makes designs of their own.
///
/// # Errors
/// What the step breaks, as a sentence.
pub fn keeps_the_contract_on(
    step: &Step,
    design: &Design,
    selected: &[usize],
    settings: &Value,
) -> Result<(), String> {
    let text = settings.to_string();
    let call = || -> Result<Answer, String> {
        messages::take();
        messages::take_log();
        let answer = caught(|| step.apply(design.clone(), selected, &text))
            .map_err(|panic| format!("the step panicked: {panic}"))?;
        Ok((answer, messages::take()))
    };
    let (answer, findings) = call()?;
    if let Ok(after) = &answer {
        let broken = run::broken(step, design, after, selected);
        if !broken.is_empty() {
            return Err(format!("the step broke its promise: {}", broken.join("; ")));
        }
    }
    let untrue = run::untrue(design, answer.as_ref().ok(), &findings);
    if !untrue.is_empty() {
        return Err(untrue.join("; "));
    }
    let again = call()?;
    if again.0 != answer {
        return Err("the same design and settings gave another answer the second time".to_owned());
    }
    if again.1 != findings {
        return Err("the same design and settings gave other findings the second time".to_owned());
    }
    match answer {
        Err(failure) if failure.message.trim().is_empty() => {
            Err("the step failed and did not say why".to_owned())
        }
        Err(failure) if failure.message.starts_with("the settings do not fit") => Err(format!(
            "the step refused settings that its schema allows: {}",
            failure.message
        )),
        _ => Ok(()),
    }
}

thread_local! {
    /// Whether this thread is trying a step, and the words of its panic.
    static PANIC: RefCell<Option<String>> = const { RefCell::new(None) };
}

/// What `call` gives, or the words of its panic with the place in the source.
fn caught<T>(call: impl FnOnce() -> T) -> Result<T, String> {
    static HOOK: Once = Once::new();
    HOOK.call_once(|| {
        let usual = panic::take_hook();
        panic::set_hook(Box::new(move |info| {
            let mine = PANIC.with_borrow_mut(|words| {
                let words = words.as_mut();
                words.map(|words| *words = info.to_string()).is_some()
            });
            if !mine {
                usual(info);
            }
        }));
    });
    PANIC.set(Some(String::new()));
    let result = panic::catch_unwind(AssertUnwindSafe(call));
    let words = PANIC.take().unwrap_or_default();
    result.map_err(|_| words)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Object, Process, Shape, Thread, settings};
    use std::sync::atomic::{AtomicU32, Ordering};

    settings! {
        /// Settings of a step that breaks the contract.
        struct Bad {
            /// Any number.
            by: f64 = 1.0, in "mm", from 0.5 to 9.0;
        }
    }

    type ObjectStep = fn(Object, &Thread, &str) -> Result<Object, Failure>;
    type DesignStep = fn(Design, &[usize], &str) -> Result<Design, Failure>;

    /// What the test says of a step that does this.
    fn verdict(process: Process) -> Option<String> {
        let step = Step {
            description: crate::describe::<Bad>("bad", "1.0.0", "Breaks the contract.", ""),
            process,
        };
        let words = panic::catch_unwind(|| keeps_the_contract(&step)).err()?;
        words.downcast_ref::<String>().cloned()
    }

    fn of_object(process: ObjectStep) -> String {
        verdict(Process::Object(process)).unwrap_or_default()
    }

    fn of_design(process: DesignStep) -> String {
        verdict(Process::Design(process)).unwrap_or_default()
    }

    fn holds(verdict: &str, words: &[&str]) {
        for word in words {
            assert!(verdict.contains(word), "{word:?} is not in {verdict:?}");
        }
    }

    #[test]
    fn a_step_that_does_nothing_keeps_it() {
        assert_eq!(verdict(Process::Object(|object, _, _| Ok(object))), None);
        assert_eq!(verdict(Process::Design(|design, _, _| Ok(design))), None);
    }

    #[test]
    fn a_panic_is_found_with_its_line_and_the_smallest_design() {
        let verdict = of_object(|object, _, _| match &object.shape {
            Shape::Region(region) if region.polygons.iter().any(|part| !part.holes.is_empty()) => {
                panic!("holes frighten me")
            }
            _ => Ok(object),
        });
        holds(
            &verdict,
            &[
                "panicked",
                "contract.rs:",
                "holes frighten me",
                "closed hole",
            ],
        );
        assert_eq!(verdict.matches("\"id\"").count(), 1, "{verdict}");
    }

    #[test]
    fn what_an_object_step_must_keep_is_missed() {
        let verdict = of_object(|mut object, _, _| {
            object.id.push('x');
            Ok(object)
        });
        holds(&verdict, &["it changed the id of object"]);
        let verdict = of_object(|mut object, _, settings| {
            let far = settings.contains("9.0");
            object.sewing.angle = far.then_some(f64::NAN);
            Ok(object)
        });
        holds(
            &verdict,
            &["not a finite number", "with the settings {\"by\":9.0}"],
        );
    }

    #[test]
    fn what_a_design_step_must_keep_is_missed() {
        let verdict = of_design(|mut design, _, _| {
            design.objects.reverse();
            Ok(design)
        });
        holds(&verdict, &["which was not selected"]);
    }

    #[test]
    fn another_answer_the_second_time_is_noticed() {
        let verdict = of_object(|mut object, _, _| {
            static CALLS: AtomicU32 = AtomicU32::new(0);
            object.name = CALLS.fetch_add(1, Ordering::Relaxed).to_string();
            Ok(object)
        });
        holds(&verdict, &["another answer the second time"]);
    }

    #[test]
    fn a_finding_about_nothing_is_noticed() {
        let nowhere = of_object(|object, _, _| {
            let place = geo::Coord {
                x: f64::NAN,
                y: 0.0,
            };
            messages::report(crate::Finding::warning("Look here.").at(place));
            Ok(object)
        });
        holds(&nowhere, &["\"Look here.\"", "place that is no number"]);
        let ghost = of_object(|object, _, _| {
            messages::report(crate::Finding::warning("Look here.").about("ghost"));
            Ok(object)
        });
        holds(&ghost, &["\"ghost\"", "neither before nor after"]);
    }

    settings! {
        /// Settings that refuse their own defaults.
        struct Unfit {
            /// Any number.
            by: f64 = 10.0, in "mm", from 0.5 to 9.0;
            /// A structure.
            within: Bad = Bad { by: 0.1 };
            /// None is a fit default for what may be none.
            perhaps: Option<f64> = None, from 0.5 to 9.0;
        }
    }

    #[test]
    fn a_default_outside_its_own_range_is_noticed() {
        let schema = serde_json::to_value(schemars::schema_for!(Unfit)).expect("a schema");
        let unfit = schema::unfit_defaults(&schema);
        assert_eq!(unfit.len(), 2, "{unfit:?}");
        assert!(
            unfit[0].contains("\"by\"") && unfit[1].contains("\"within\""),
            "{unfit:?}"
        );
    }

    #[test]
    fn a_setting_without_words_is_noticed() {
        let mut step = Step {
            description: crate::describe::<Bad>("bad", "1.0.0", "", ""),
            process: Process::Object(|object, _, _| Ok(object)),
        };
        step.description.settings_schema = r#"{ "type": "object", "required": ["x"],
            "properties": { "x": { "type": "number" } } }"#
            .to_owned();
        let schema = schema::of(&step);
        assert_eq!(description_problems(&step, &schema).len(), 3);
    }
}
