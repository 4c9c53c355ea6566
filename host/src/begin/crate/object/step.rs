//! The step as native code, held to the contract, and in the sandbox.

use STEP_NAME::step;
use hoopwright_sdk::testing::{self, Draft, json};

/// A straight line of stitches, 10 mm long, and another without any.
fn lines() -> Draft {
    testing::design()
        .line("shaft", &[(0.0, 0.0), (10.0, 0.0)], 0.4)
        .sewn(2.5)
        .line("bare", &[(0.0, 10.0), (10.0, 10.0)], 0.4)
}

#[test]
fn needle_points_step_aside_in_turn() {
    let run = testing::run(&step(), lines()).on(&["shaft"]);
    let done = run.with(json!({ "width": 3.0 })).natively();
    let across: Vec<f64> = done.needle_points("shaft").iter().map(|at| at.1).collect();
    assert_eq!(across, [-1.5, 1.5, -1.5, 1.5, -1.5]);
}

#[test]
fn what_is_not_sewn_is_told() {
    let done = testing::run(&step(), lines()).on(&["bare"]).natively();
    assert_eq!(done.findings.len(), 1);
    assert_eq!(done.before, done.after);
}

#[test]
fn the_result_is_the_stored_one() {
    let run = testing::run(&step(), lines()).with(json!({ "first": "right" }));
    run.natively().as_expected("lines");
}

#[test]
fn it_keeps_the_contract() {
    testing::keeps_the_contract(&step());
}

#[test]
#[ignore = "needs the plugin: run `hoopwright try`, then `cargo test -- --ignored`"]
fn the_sandbox_gives_the_same() {
    testing::run(&step(), lines()).both_ways();
}
