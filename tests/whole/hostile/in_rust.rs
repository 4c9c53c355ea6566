//! What a plugin in Rust may try, and what becomes of it.

use super::{load, one_second, two_objects};
use crate::guests;
use hoopwright::design::Design;
use hoopwright::pipeline::promise::broken_by_design_step;
use hoopwright::sandbox::{CallError, Limits, Sandbox};

/// Enough for what a compiler makes of the good deeds.
const TIGHT: Limits = Limits {
    work_millions: 400,
    memory_mib: 512,
    answer_mib: 64,
    ..super::TIGHT
};

fn sandbox() -> Sandbox {
    Sandbox::new(TIGHT, None).unwrap()
}

fn does(deed: &str) -> Result<Design, CallError> {
    let sandbox = sandbox();
    let plugin = load(&sandbox, guests::hostile()).unwrap();
    let settings = format!("{{\"deed\": \"{deed}\"}}");
    sandbox
        .call_design(&plugin, &two_objects(), &[0], &settings, None, None)
        .map(|answer| answer.value)
        .map_err(|unanswered| unanswered.why)
}

fn broken(deed: &str) -> Vec<String> {
    broken_by_design_step(&two_objects(), &does(deed).unwrap(), &[0])
}

#[test]
fn what_is_allowed_is_done() {
    let moved = does("move").unwrap();
    assert_eq!(moved.objects[0].stitches[0].x, [1.0, 4.0]);
    assert_eq!(moved.objects[1], two_objects().objects[1]);
    assert_eq!(broken("move"), [""; 0]);
}

#[test]
fn what_never_ends_is_ended() {
    assert_eq!(does("spin"), Err(CallError::Work(TIGHT.work_millions)));
}

#[test]
fn what_takes_too_long_is_ended_by_the_clock() {
    let sandbox = Sandbox::new(one_second(TIGHT), None).unwrap();
    let plugin = load(&sandbox, guests::hostile()).unwrap();
    let result = sandbox.call_design(
        &plugin,
        &two_objects(),
        &[0],
        r#"{"deed": "spin"}"#,
        None,
        None,
    );
    assert_eq!(result.unwrap_err().why, CallError::Time(1));
}

#[test]
fn what_hoards_memory_is_ended() {
    let limits = Limits {
        memory_mib: 32,
        ..TIGHT
    };
    let sandbox = Sandbox::new(limits, None).unwrap();
    let plugin = load(&sandbox, guests::hostile()).unwrap();
    let settings = r#"{"deed": "allocate"}"#;
    let result = sandbox.call_design(&plugin, &two_objects(), &[0], settings, None, None);
    assert_eq!(result.unwrap_err().why, CallError::Memory(32));
}

#[test]
fn what_calls_itself_for_ever_is_ended() {
    // A guest's stack lies in its memory: running over its end is a memory fault.
    assert!(matches!(
        does("recurse"),
        Err(CallError::Stack | CallError::Trap(_))
    ));
}

#[test]
fn a_panic_reaches_the_user_as_its_message() {
    let Err(CallError::Panic(message)) = does("panic") else {
        panic!("it panics");
    };
    assert!(
        message.contains("the needle of this step is bent"),
        "{message}"
    );
    assert!(
        message.contains("tests/hostile-guest/src/lib.rs:"),
        "{message}"
    );
}

#[test]
fn a_failure_reaches_the_user_as_its_sentence() {
    let error = does("fail").unwrap_err();
    assert_eq!(error.to_string(), "no thread is green enough");
    assert_eq!(error.help().as_deref(), Some("Buy green thread."));
}

#[test]
fn an_answer_too_large_is_refused() {
    assert_eq!(
        does("huge-answer"),
        Err(CallError::Answer(TIGHT.answer_mib))
    );
}

#[test]
fn a_log_too_long_is_cut() {
    let limits = Limits {
        work_millions: 20_000,
        ..TIGHT
    };
    let sandbox = Sandbox::new(limits, None).unwrap();
    let plugin = load(&sandbox, guests::hostile()).unwrap();
    let settings = r#"{"deed": "huge-log"}"#;
    match sandbox.call_design(&plugin, &two_objects(), &[0], settings, None, None) {
        Ok(answer) => {
            assert_eq!(answer.log.lines.len(), TIGHT.log_lines);
            assert_eq!(answer.log.dropped, 1_000_000 - TIGHT.log_lines);
        }
        // A million lines are more than a call may hand over, too.
        Err(error) => assert_eq!(error.why, CallError::Answer(TIGHT.answer_mib)),
    }
}

#[test]
fn broken_promises_are_named() {
    for (deed, sentence) in [
        (
            "not-a-number",
            "object \"a\" has a coordinate that is not a finite number",
        ),
        (
            "unequal-columns",
            "object \"a\" has columns of unequal length: 2 x and 1 y",
        ),
        (
            "change-other",
            "it changed object \"b\", which was not selected",
        ),
        (
            "remove-other",
            "it removed object \"b\", which was not selected",
        ),
        ("same-id", "two objects have the id \"a\""),
        (
            "no-such-thread",
            "object \"a\" asks for thread 4000000000 of 1",
        ),
        (
            "dye",
            "it changed threads that were there; it may only add some at the end",
        ),
    ] {
        assert_eq!(broken(deed), [sentence], "{deed}");
    }
}

#[test]
fn other_versions_of_the_contract_say_which_side_to_upgrade() {
    let sandbox = sandbox();
    for (version, side) in [
        ("0.0.9", "Rebuild the plugin"),
        ("0.2.0", "Upgrade Hoopwright"),
        ("9.0.0", "Upgrade Hoopwright"),
    ] {
        let refused = load(&sandbox, &guests::stamped(version)).err().unwrap();
        assert_eq!(refused.code, "plugin-contract");
        assert!(refused.message.contains(version), "{}", refused.message);
        assert!(
            refused.help.as_deref().unwrap().starts_with(side),
            "{version}"
        );
    }
}
