//! The step as native code, held to the contract, and in the sandbox.

use STEP_NAME::step;
use hoopwright_sdk::testing::{self, Draft, json};

/// Two squares side by side, and a ring below them.
fn three() -> Draft {
    testing::design()
        .square("left", 10.0)
        .sewn(2.5)
        .square("right", 10.0)
        .at(20.0, 0.0)
        .ring("below", 6.0, 3.0)
        .at(15.0, 30.0)
}

#[test]
fn objects_move_apart() {
    let run = testing::run(&step(), three()).on(&["left", "right"]);
    let done = run.with(json!({ "by": 4.0 })).natively();
    assert_eq!(done.needle_points("left")[0], (-4.0, 0.0));
    // What was not selected stays.
    assert_eq!(done.object("below"), &done.before.objects[2]);
}

#[test]
fn an_object_alone_stays() {
    let done = testing::run(&step(), three()).on(&["left"]).natively();
    assert_eq!(done.before, done.after);
}

#[test]
fn the_result_is_the_stored_one() {
    let run = testing::run(&step(), three()).with(json!({ "by": 5.0 }));
    run.natively().as_expected("three");
}

#[test]
fn it_keeps_the_contract() {
    testing::keeps_the_contract(&step());
}

#[test]
#[ignore = "needs the plugin: run `hoopwright try`, then `cargo test -- --ignored`"]
fn the_sandbox_gives_the_same() {
    testing::run(&step(), three()).both_ways();
}
