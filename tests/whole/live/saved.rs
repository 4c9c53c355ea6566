//! What is saved is sewn again, and what is wrong is shown.

use super::looping::{Loop, drawing, folder, rack, routine, save};
use crate::files::hoopwright;
use crate::guests;
use serde_json::Value;
use std::time::Duration;

#[test]
fn what_is_saved_is_seen_and_only_what_changed_is_sewn() {
    let live = Loop::start(folder("saved"), &[]);
    let first = live.wait_for_picture(1);
    assert_eq!(first["artwork"], "art/art.svg");
    assert!(
        first["words"]
            .as_str()
            .unwrap()
            .contains("0 of 2 object results reused")
    );
    let picture = live.picture();
    let page = String::from_utf8(live.get("/")).unwrap();
    assert!(page.contains("/page/script.js") && page.contains("/page/style.css"));
    live.get("/page/script.js");
    live.get("/page/style.css");

    // One of two objects changes: the result of the other is kept.
    save(&live.path("art/art.svg"), &drawing(15, 20));
    let second = live.wait_for_picture(2);
    let words = second["words"].as_str().unwrap();
    assert!(words.contains("1 of 2 object results reused"), "{words}");
    let changed = live.picture();
    assert_ne!(picture, changed);

    // What the page shows is what a run writes.
    let into = live.path("alone");
    crate::files::sew(
        &live.path("shop/routine.json"),
        &live.path("art/art.svg"),
        &into,
    );
    let alone = std::fs::read_to_string(into.join("art.preview.svg")).unwrap();
    assert_eq!(changed, alone);
    for name in second["products"].as_array().unwrap() {
        let name = name.as_str().unwrap();
        let product = live.get(&format!("/{name}"));
        // The report names the artwork as it was given.
        if name != "report.json" {
            assert!(
                product == std::fs::read(into.join(format!("art.{name}"))).unwrap(),
                "{name}"
            );
        }
    }

    // The pipeline, and the rack that it names; back again, nothing is kept for ever.
    save(&live.path("shop/routine.json"), &routine(0.8));
    live.wait_for_picture(3);
    assert!(live.picture().len() < changed.len(), "half the stitches");
    save(&live.path("shop/rack.json"), &rack("Hay"));
    live.wait_for_picture(4);
    assert!(
        String::from_utf8(live.get("/worksheet.html"))
            .unwrap()
            .contains("Hay")
    );

    // Written in place, as other editors do.
    std::fs::write(live.path("art/art.svg"), drawing(12, 20)).unwrap();
    let state = live.wait_for_picture(5);
    assert!(
        state["words"]
            .as_str()
            .unwrap()
            .contains("1 of 2 object results reused")
    );
    // Saved without a change: no new run.
    save(&live.path("art/art.svg"), &drawing(12, 20));
    std::thread::sleep(Duration::from_millis(900));
    assert_eq!(live.wait_for_picture(5)["moment"], state["moment"]);
}

#[test]
fn an_error_is_shown_with_its_place_and_the_last_picture_stays() {
    let live = Loop::start(folder("broken"), &[]);
    live.wait_for_picture(1);
    let picture = live.picture();
    save(
        &live.path("shop/routine.json"),
        &routine(0.4).replace("density", "densty"),
    );
    let state = live.wait_for_failure();
    let error = &state["errors"][0];
    assert_eq!(error["file"], "shop/routine.json");
    assert_eq!(error["line"], 3);
    assert_eq!(error["step"], "1 (region-fill)");
    assert!(
        error["help"].as_str().unwrap().contains("density"),
        "{error}"
    );
    assert_eq!(state["picture"], 1);
    assert_eq!(live.picture(), picture);
    assert!(!live.get("/dst").is_empty());

    // Not JSON at all; then whole again.
    save(&live.path("shop/routine.json"), "{ \"steps\": [");
    live.wait("another error", |state| {
        state["errors"][0]["code"] == "not-json"
    });
    save(&live.path("shop/routine.json"), &routine(0.4));
    let state = live.wait_for_picture(2);
    assert_eq!(state["errors"].as_array().unwrap().len(), 0);
    let words = state["words"].as_str().unwrap();
    assert!(words.contains("2 of 2 object results reused"), "{words}");
    assert_eq!(live.picture(), picture);
}

#[test]
fn artwork_may_vanish_and_return_and_so_may_its_folder() {
    let folder = folder("vanished");
    std::fs::remove_dir_all(folder.join("art")).unwrap();
    let live = Loop::start(folder, &[]);
    let state = live.wait_for_failure();
    assert_eq!(state["picture"], Value::Null);
    let (status, ..) = live.get_as("/page/picture.svg", "");
    assert_eq!(status, 404);
    std::fs::create_dir(live.path("art")).unwrap();
    save(&live.path("art/art.svg"), &drawing(10, 20));
    live.wait_for_picture(1);
    std::fs::remove_file(live.path("art/art.svg")).unwrap();
    let state = live.wait_for_failure();
    assert_eq!(state["errors"][0]["code"], "unreadable");
    save(&live.path("art/art.svg"), &drawing(11, 20));
    live.wait_for_picture(2);
    std::fs::remove_dir_all(live.path("art")).unwrap();
    live.wait_for_failure();
    std::fs::create_dir(live.path("art")).unwrap();
    save(&live.path("art/art.svg"), &drawing(13, 20));
    live.wait_for_picture(3);
    // The rack too.
    std::fs::remove_file(live.path("shop/rack.json")).unwrap();
    let state = live.wait_for_failure();
    assert_eq!(state["errors"][0]["file"], "shop/routine.json");
    save(&live.path("shop/rack.json"), &rack("Straw"));
    live.wait_for_picture(4);
}

#[test]
fn a_plugin_is_watched_like_the_rest() {
    let folder = folder("plugin");
    let routine = |deed: &str| {
        format!(
            r#"{{ "steps": [ {{ "step": "region-fill" }}, {{ "step": "hostile", "settings": {{ "deed": "{deed}" }} }}, {{ "step": "ties-and-trims" }} ] }}"#
        )
    };
    save(&folder.join("shop/routine.json"), &routine("move"));
    let live = Loop::start(folder, &["--plugin", "plugins"]);
    // There is no such folder yet.
    live.wait_for_failure();
    std::fs::create_dir(live.path("plugins")).unwrap();
    std::fs::write(live.path("plugins/one.wasm"), guests::hostile()).unwrap();
    live.wait_for_picture(1);
    save(&live.path("shop/routine.json"), &routine("panic"));
    let state = live.wait_for_failure();
    let error = &state["errors"][0];
    assert_eq!(error["step"], "2 (hostile)");
    assert!(error["message"].as_str().unwrap().contains("needle"));
    save(&live.path("shop/routine.json"), &routine("move"));
    live.wait_for_picture(2);
    std::fs::write(live.path("plugins/one.wasm"), "no plugin").unwrap();
    let state = live.wait_for_failure();
    assert_eq!(state["errors"][0]["code"], "plugin-unreadable");
}

/// Parts are watched like the pipeline that includes them, also those within parts, and before they are
/// there; so is the machine's profile.
#[test]
fn parts_are_watched_like_the_rest() {
    let folder = folder("parts");
    std::fs::create_dir(folder.join("parts")).unwrap();
    let outer =
        r#"{ "takes": {}, "steps": [ { "part": "inner.json" }, { "step": "ties-and-trims" } ] }"#;
    let inner = |density: f64| {
        format!(
            r#"{{ "takes": {{}}, "steps": [ {{ "step": "region-fill", "settings": {{ "density": {density} }} }} ] }}"#
        )
    };
    save(
        &folder.join("shop/routine.json"),
        r#"{ "machine": "machine.json", "steps": [ { "part": "../parts/outer.json" } ] }"#,
    );
    save(&folder.join("shop/machine.json"), r#"{ "trim-jumps": 3 }"#);
    save(&folder.join("parts/outer.json"), outer);
    let live = Loop::start(folder, &[]);
    let state = live.wait_for_failure();
    assert_eq!(state["errors"][0]["file"], "shop/../parts/outer.json");
    save(&live.path("parts/inner.json"), &inner(0.4));
    live.wait_for_picture(1);
    let picture = live.picture();
    save(&live.path("parts/inner.json"), &inner(0.8));
    live.wait_for_picture(2);
    assert!(live.picture().len() < picture.len(), "half the stitches");
    save(&live.path("shop/machine.json"), r#"{ "trim-jumps": 4 }"#);
    live.wait_for_picture(3);
    save(
        &live.path("parts/inner.json"),
        &inner(0.8).replace("density", "densty"),
    );
    let state = live.wait_for_failure();
    let error = &state["errors"][0];
    assert_eq!(error["file"], "shop/../parts/inner.json");
    assert_eq!(error["step"], "1 (outer) 1 (inner) 1 (region-fill)");
}

#[test]
fn the_lock_counts_and_is_watched() {
    let live = Loop::start(folder("locked"), &["--locked"]);
    let state = live.wait_for_failure();
    assert_eq!(state["errors"][0]["code"], "lock-missing");
    let locked = hoopwright()
        .args(["lock", "shop/routine.json"])
        .current_dir(live.path(""))
        .output();
    assert!(locked.unwrap().status.success());
    live.wait_for_picture(1);
    let lock = live.path("shop/routine.lock.json");
    let text = std::fs::read_to_string(&lock).unwrap();
    save(&lock, &text.replace("ties-and-trims", "transform"));
    let state = live.wait_for_failure();
    let codes: Vec<&Value> = state["errors"]
        .as_array()
        .unwrap()
        .iter()
        .map(|error| &error["code"])
        .collect();
    assert_eq!(codes, ["lock-lacks", "lock-extra"]);
    save(&lock, &text);
    live.wait_for_picture(2);
}
