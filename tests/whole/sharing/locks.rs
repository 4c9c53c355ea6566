//! A pipeline held to its lock.

use super::shop::{Shop, other_build};
use crate::guests;
use serde_json::{Value, json};

const LOCK: &str = "patches/routine.lock.json";
const RUN: &str = "run patches/routine.json art.svg --into out --hold-at never";

fn lock_of(shop: &Shop) -> Value {
    serde_json::from_slice(&shop.get(LOCK)).unwrap()
}

#[test]
fn a_lock_names_every_step_once_and_where_it_was_found() {
    let shop = Shop::with_routine("lock-names");
    let told = shop.well("lock patches/routine.json");
    assert!(told.ends_with("patches/routine.lock.json\n"), "{told}");
    let lock = lock_of(&shop);
    assert_eq!(lock["form"], 1);
    let steps = lock["steps"].as_array().unwrap();
    let names: Vec<&str> = steps
        .iter()
        .map(|step| step["step"].as_str().unwrap())
        .collect();
    assert_eq!(names, ["hostile", "region-fill", "ties-and-trims"]);
    assert_eq!(steps[0]["source"], json!({ "file": "../plugins/own.wasm" }));
    assert_eq!(steps[1]["source"], "built-in");
    assert_eq!(steps[0]["contract"], "0.1.1");
    let schema: Value = serde_json::from_str(&shop.well("schema lock")).unwrap();
    let rules = jsonschema::draft202012::new(&schema).unwrap();
    assert!(rules.is_valid(&lock));
    assert!(!rules.is_valid(&json!({ "form": 2, "steps": [] })));
    // The same wherever it lies and however the pipeline is named.
    let first = shop.get(LOCK);
    shop.well(&format!(
        "lock {}",
        shop.folder.join("patches/routine.json").display()
    ));
    assert_eq!(shop.get(LOCK), first);
    let other = Shop::with_routine("lock-names-elsewhere");
    other.well("lock patches/../patches/routine.json");
    assert_eq!(other.get(LOCK), first);
}

#[test]
fn only_the_locked_plugins_run() {
    let shop = Shop::with_routine("lock-runs");
    let commands = [
        RUN,
        "check patches/routine.json",
        "batch patches/routine.json art.svg --into many --hold-at never",
    ];
    for command in commands {
        let why = shop.refused(&format!("{command} --locked"));
        assert!(why.contains("has no lock"), "{why}");
        assert!(
            why.contains("hoopwright lock patches/routine.json"),
            "{why}"
        );
    }
    assert!(!shop.has("out") && !shop.has("many"));
    shop.well("lock patches/routine.json");
    for command in commands {
        let done = shop.does(&format!("{command} --locked"));
        assert_eq!(done.code, 0, "{}", done.err);
        assert!(!done.err.contains("lock"), "{}", done.err);
    }
    let sewn = shop.get("out/art.dst");
    shop.put("plugins/own.wasm", other_build(guests::hostile()));
    for command in commands {
        let why = shop.refused(&format!("{command} --locked"));
        assert!(
            why.contains("the step hostile is not the locked one"),
            "{why}"
        );
        assert!(
            why.contains("../plugins/own.wasm") && why.contains("sha256"),
            "{why}"
        );
        // Without the option it is told, and goes on.
        let done = shop.does(command);
        assert_eq!(done.code, 0, "{}", done.err);
        assert!(done.err.contains("warning[lock-changed]"), "{}", done.err);
    }
    assert_eq!(shop.get("out/art.dst"), sewn);
    // What was there before is still refused after it was put elsewhere: the lock is about bytes.
    shop.put("patches/steps/own.wasm", guests::hostile());
    assert_eq!(shop.does(&format!("{RUN} --locked")).code, 1);
    shop.put("plugins/own.wasm", guests::hostile());
    shop.well(&format!("{RUN} --locked"));
    let given = shop.folder.join("given.wasm");
    std::fs::write(&given, other_build(guests::hostile())).unwrap();
    let why = shop.refused(&format!("{RUN} --locked --plugin given.wasm"));
    assert!(why.contains("from ../given.wasm"), "{why}");
    let accepted = shop.well("lock patches/routine.json --plugin given.wasm");
    assert!(
        accepted.contains("the step hostile is not the locked one"),
        "{accepted}"
    );
    shop.well(&format!("{RUN} --locked --plugin given.wasm"));
}

/// Settings written for the locked plugin seldom fit another: then it is told first that the plugin is another.
#[test]
fn another_plugin_is_told_before_the_settings_that_it_refuses() {
    let shop = Shop::with_routine("lock-misfits");
    shop.well("lock patches/routine.json");
    shop.put("plugins/own.wasm", other_build(guests::hostile()));
    let routine = String::from_utf8(shop.get("patches/routine.json")).unwrap();
    let misfit = routine.replace("\"deed\"", "\"of-the-locked-one\"");
    assert_ne!(misfit, routine);
    shop.put("patches/routine.json", misfit);
    for (command, grave) in [
        ("check patches/routine.json --locked", "error"),
        ("check patches/routine.json", "warning"),
    ] {
        let why = shop.refused(command);
        assert!(why.contains("of-the-locked-one"), "{why}");
        assert!(why.contains(&format!("{grave}[lock-changed]")), "{why}");
        assert!(why.contains("Put the locked plugin back"), "{why}");
    }
}

#[test]
fn a_step_more_or_less_than_locked_is_refused() {
    let shop = Shop::with_routine("lock-steps");
    shop.well("lock patches/routine.json");
    let routine = String::from_utf8(shop.get("patches/routine.json")).unwrap();
    let more = routine.replace(
        r#"{ "step": "region-fill" },"#,
        r#"{ "step": "region-fill" }, { "step": "transform" },"#,
    );
    shop.put("patches/routine.json", more);
    let why = shop.refused(&format!("{RUN} --locked"));
    assert!(
        why.contains("the step transform is not in the lock"),
        "{why}"
    );
    let less = routine.replace(r#"{ "step": "region-fill" },"#, "");
    shop.put("patches/routine.json", less);
    let why = shop.refused(&format!("{RUN} --locked"));
    assert!(
        why.contains("the lock has the step region-fill, which the pipeline does not use"),
        "{why}"
    );
    shop.well("lock patches/routine.json");
    shop.well("check patches/routine.json --locked");
}

#[test]
fn a_lock_that_is_not_whole_is_none() {
    let shop = Shop::with_routine("lock-broken");
    shop.well("lock patches/routine.json");
    let whole = String::from_utf8(shop.get(LOCK)).unwrap();
    let sha256 = lock_of(&shop)["steps"][0]["sha256"]
        .as_str()
        .unwrap()
        .to_owned();
    let broken = [
        String::new(),
        whole[..whole.len() / 2].to_owned(),
        whole.replace("\"form\": 1", "\"form\": 2"),
        whole.replace(&sha256, &sha256.to_uppercase()),
        whole.replace(&sha256, &sha256[1..]),
        whole.replace("\"version\"", "\"versoin\""),
        whole.replace("region-fill", "hostile"),
        whole.replace("region-fill", "a-step"),
        "[]".to_owned(),
        "\u{0}".to_owned(),
    ];
    for text in broken {
        shop.put(LOCK, &text);
        let why = shop.refused("check patches/routine.json --locked");
        assert!(
            why.contains("this is not a whole lock file"),
            "{text}: {why}"
        );
        let done = shop.does("check patches/routine.json");
        assert_eq!(done.code, 0, "{}", done.err);
        assert!(
            done.err.contains("warning[lock-broken]"),
            "{text}: {}",
            done.err
        );
        assert_eq!(shop.get(LOCK), text.as_bytes());
    }
    shop.well("lock patches/routine.json");
    assert_eq!(shop.get(LOCK), whole.as_bytes());
}

/// What a batch has sewn is not sewn anew because a lock was made; what is not locked is not sewn,
/// also where all products are there already.
#[test]
fn a_batch_is_held_to_the_lock_before_anything_else() {
    let shop = Shop::with_routine("lock-batch");
    let batch = "batch patches/routine.json art.svg --into out --hold-at never";
    assert!(shop.well(batch).contains("1 artwork: 1 sewn"));
    shop.well("lock patches/routine.json");
    assert!(
        shop.well(&format!("{batch} --locked"))
            .contains("1 artwork: 1 unchanged")
    );
    let lock = String::from_utf8(shop.get(LOCK)).unwrap();
    let sha256 = lock_of(&shop)["steps"][0]["sha256"]
        .as_str()
        .unwrap()
        .to_owned();
    shop.put(LOCK, lock.replace(&sha256, &"0".repeat(64)));
    let why = shop.refused(&format!("{batch} --locked"));
    assert!(why.contains("lock-changed"), "{why}");
}
