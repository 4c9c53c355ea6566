//! Every deed in one process, one after the other: the host lives through all of them.

use super::raw::Raw;
use super::{TIGHT, calls, load, loading, one_second, sandbox, two_objects};
use hoopwright::pipeline::promise::{broken_by_design_step, broken_by_object_step};
use hoopwright::sandbox::{CallError, Kind, Limits, Log, Plugin, Sandbox, Unanswered};
use insta::assert_snapshot;

/// What becomes of a call on the first of the two objects.
fn call(sandbox: &Sandbox, plugin: &Plugin) -> Result<(Vec<String>, Log), Unanswered> {
    let design = two_objects();
    match plugin.kind {
        Kind::Object => {
            let object = &design.objects[0];
            let answer = sandbox.call_object(plugin, object, &design.threads[0], "{}")?;
            Ok((broken_by_object_step(object, &answer.value), answer.log))
        }
        Kind::Design => {
            let answer = sandbox.call_design(plugin, &design, &[0], "{}", None, None)?;
            let mut broken = broken_by_design_step(&design, &answer.value, &[0]);
            // A million objects break as many promises.
            broken.truncate(3);
            Ok((broken, answer.log))
        }
    }
}

/// In one line, without what commands a terminal.
fn told(result: Result<(Vec<String>, Log), Unanswered>) -> String {
    let (words, log) = match result {
        Ok((broken, log)) if broken.is_empty() => ("nothing wrong".to_owned(), log),
        Ok((broken, log)) => (format!("promises: {}", broken.join("; ")), log),
        Err(unanswered) => {
            let words = unanswered.to_string();
            // Only a promise may quote what a step gave: whoever tells it makes it harmless.
            assert!(!words.contains('\u{1b}'), "{words:?}");
            assert!(words.len() < 5_000, "{}", words.len());
            (words, unanswered.log)
        }
    };
    assert!(log.lines.len() <= TIGHT.log_lines && log.findings.len() <= TIGHT.findings);
    let short: String = words.escape_debug().to_string().chars().take(200).collect();
    short
        + if log.dropped > 0 {
            " (messages dropped)"
        } else {
            ""
        }
}

#[test]
fn the_plugin_by_hand_is_well_behaved() {
    let sandbox = sandbox();
    for kind in [Kind::Object, Kind::Design] {
        let plugin =
            load(&sandbox, &Raw::new(kind).bytes()).unwrap_or_else(|why| panic!("{}", why.message));
        assert_eq!(told(call(&sandbox, &plugin)), "nothing wrong");
    }
}

#[test]
fn every_call_ends_in_words() {
    let sandbox = sandbox();
    let good = |kind| load(&sandbox, &Raw::new(kind).bytes()).unwrap();
    let (object, design) = (good(Kind::Object), good(Kind::Design));
    let mut lines = String::new();
    for deed in calls::all() {
        for &kind in deed.kinds {
            let line = match load(&sandbox, &deed.plugin(kind).bytes()) {
                Ok(plugin) => told(call(&sandbox, &plugin)),
                Err(refused) => {
                    // Some deeds show when it is asked what it is.
                    refused.message
                }
            };
            lines += &format!("{}: {line}\n", calls::named(deed.name, kind));
            for good in [&object, &design] {
                assert_eq!(
                    told(call(&sandbox, good)),
                    "nothing wrong",
                    "after {}",
                    deed.name
                );
            }
        }
    }
    assert_snapshot!(lines);
}

#[test]
fn every_plugin_that_cannot_be_used_is_refused_in_words() {
    let sandbox = sandbox();
    let mut lines = String::new();
    for (name, bytes) in loading::all() {
        let line = match load(&sandbox, &bytes) {
            Ok(_) => "welcome".to_owned(),
            Err(refused) => {
                assert!(
                    refused.help.is_some() || refused.code == "plugin-silent",
                    "{name}"
                );
                assert!(!refused.message.contains('\u{1b}'), "{name}");
                let message = refused.message.replace("the plugin hostile.wasm ", "");
                let short: String = message.chars().take(260).collect();
                format!("{}: {short}", refused.code)
            }
        };
        lines += &format!("{name}: {line}\n");
    }
    assert_snapshot!(lines);
}

/// Fuel counts a filled memory as one unit or as many; the clock ends it in any case.
#[test]
fn what_takes_too_long_is_ended_by_the_clock() {
    let sandbox = Sandbox::new(one_second(TIGHT), None).unwrap();
    for kind in [Kind::Object, Kind::Design] {
        for deed in [
            "(loop (br 0))",
            "(loop (memory.fill (i32.const 131072) (i32.const 0) (i32.const 1900000)) (br 0))",
            "(loop (memory.copy (i32.const 131072) (i32.const 1000000) (i32.const 900000)) (br 0))",
            "(loop (call $log (i32.const 0) (i32.const 200000) (i32.const 1800000)) (br 0))",
        ] {
            let mut raw = Raw::new(kind);
            raw.process += deed;
            let plugin = load(&sandbox, &raw.bytes()).unwrap();
            let ended = call(&sandbox, &plugin).unwrap_err();
            assert_eq!(ended.why, CallError::Time(1), "{deed}");
        }
    }
}

#[test]
fn a_plugin_that_is_not_ready_in_time_is_not_waited_for() {
    let limits = Limits {
        ready_seconds: 0,
        ..TIGHT
    };
    let sandbox = Sandbox::new(limits, None).unwrap();
    let refused = load(&sandbox, &Raw::new(Kind::Object).bytes())
        .err()
        .unwrap();
    assert_eq!(refused.code, "plugin-slow");
}

/// What is not a number, or large, or small, goes in and comes out as it is, or not at all.
#[test]
fn numbers_keep_every_bit() {
    let sandbox = sandbox();
    for kind in [Kind::Object, Kind::Design] {
        for (x, bits) in [
            ("-0", (-0.0_f64).to_bits()),
            ("0x1p-1074", 1),
            ("9999.999999999998", 9_999.999_999_999_998_f64.to_bits()),
        ] {
            let mut raw = Raw::new(kind);
            raw.set_stitch(0, 1, x, "0");
            let plugin = load(&sandbox, &raw.bytes()).unwrap();
            let design = two_objects();
            let object = match kind {
                Kind::Object => sandbox
                    .call_object(&plugin, &design.objects[0], &design.threads[0], "{}")
                    .map(|answer| answer.value),
                Kind::Design => sandbox
                    .call_design(&plugin, &design, &[0], "{}", None, None)
                    .map(|answer| answer.value.objects[0].clone()),
            };
            assert_eq!(object.unwrap().stitches[0].x[0].to_bits(), bits, "{x}");
        }
    }
}
