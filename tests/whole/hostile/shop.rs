//! Hostile plugins in a shop's hands: the whole program, with limits set low.

use super::calls;
use super::child::{Ended, run};
use super::loading;
use super::raw::{FREE, Raw, object};
use super::two_objects;
use crate::files::scratch;
use hoopwright::design::Design;
use hoopwright::formats::design_json;
use hoopwright::sandbox::Kind;
use insta::assert_snapshot;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// The most memory that the program may hold, whatever the plugins do, in MiB.
const MOST_MIB: u64 = 1200;

const LIMITS: [&str; 16] = [
    "--work-limit",
    "100",
    "--time-limit",
    "60",
    "--memory-limit",
    "256",
    "--answer-limit",
    "32",
    "--log-limit",
    "5",
    "--finding-limit",
    "5",
    "--stitch-limit",
    "100000",
    "--plugin-limit",
    "4",
];

fn shop(name: &str) -> PathBuf {
    let folder = scratch().join("hostile-shop").join(name);
    let _ = std::fs::remove_dir_all(&folder);
    for inner in ["steps", "art", "out"] {
        std::fs::create_dir_all(folder.join(inner)).unwrap();
    }
    folder
}

/// Artwork of which the first object has a tag.
fn art(folder: &Path, tag: &str) {
    let text = format!(
        r##"<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="20mm" viewBox="0 0 20 20"><rect class="{tag}" x="1" y="1" width="4" height="4" fill="#884422"/><rect x="8" y="8" width="4" height="4" fill="#884422"/></svg>"##
    );
    std::fs::write(folder.join(format!("art/{tag}.svg")), text).unwrap();
}

fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let entries = std::fs::read_dir(folder).unwrap();
    entries
        .map(|entry| {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_string_lossy().into_owned();
            (name, std::fs::read(path).unwrap())
        })
        .collect()
}

fn with_limits<'a>(arguments: &[&'a str]) -> Vec<&'a str> {
    [arguments, &LIMITS].concat()
}

/// Each deed has a plugin and an artwork of its own; all plugins are in one routine, and all artworks in
/// one batch, with good ones before, between and after.
#[test]
fn a_batch_sews_on_past_every_deed() {
    let folder = shop("batch");
    let mut steps = vec![json!({ "step": "region-fill", "settings": { "underlay": "none" } })];
    let mut bad = Vec::new();
    let add = |name: &str, raw: Raw| {
        std::fs::write(folder.join(format!("steps/{name}.wasm")), raw.bytes()).unwrap();
        art(&folder, name);
    };
    for deed in calls::all() {
        for &kind in deed.kinds {
            let name = calls::named(deed.name, kind);
            add(&name, deed.plugin(kind));
            steps.push(json!({ "step": name, "on": { "tag": name } }));
            bad.push(name);
        }
    }
    std::fs::write(
        folder.join("routine.json"),
        json!({ "steps": steps }).to_string(),
    )
    .unwrap();
    // By name the first lies before all others, and the last behind.
    let good = ["a-good-one", "e-good-one", "z-good-one"];
    good.into_iter().for_each(|name| art(&folder, name));
    let mut before = BTreeMap::new();
    for name in &bad {
        for ending in ["dst", "worksheet.pdf"] {
            before.insert(format!("{name}.{ending}"), b"of yesterday".to_vec());
        }
    }
    for (name, bytes) in &before {
        std::fs::write(folder.join("out").join(name), bytes).unwrap();
    }

    let arguments = [
        "batch",
        "routine.json",
        "art",
        "--into",
        "out",
        "--telling",
        "json",
        "--hold-at",
        "never",
    ];
    let ended = run(&folder, &with_limits(&arguments));

    assert!(ended.peak_mib < MOST_MIB, "{} MiB", ended.peak_mib);
    let lines: Vec<Value> = ended
        .stdout
        .lines()
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    let artworks = lines.iter().filter(|line| line["line"] == "artwork");
    let mut told = BTreeMap::new();
    for artwork in artworks {
        let name = artwork["name"].as_str().unwrap().to_owned();
        let findings = artwork["findings"].as_array().unwrap();
        let words: Vec<String> = findings
            .iter()
            .filter(|finding| finding["severity"] == "error")
            .take(2)
            .map(|finding| {
                let text = |key: &str| finding[key].as_str().unwrap_or("-").to_owned();
                let message: String = text("message").chars().take(160).collect();
                format!(
                    "{} | {} | {}",
                    text("step"),
                    text("object"),
                    message.escape_debug()
                )
            })
            .collect();
        told.insert(
            name,
            (artwork["outcome"].as_str().unwrap().to_owned(), words),
        );
    }
    assert_eq!(ended.code, 1, "{}", ended.stderr);
    for name in good {
        assert_eq!(told.remove(name).unwrap().0, "sewn", "{name}");
    }
    let mut after = files(&folder.join("out"));
    let mut snapshot = String::new();
    for name in &bad {
        let (outcome, words) = &told[name];
        snapshot += &format!("{name}: {outcome}\n");
        words
            .iter()
            .for_each(|line| snapshot += &format!("  {line}\n"));
        if outcome == "sewn" {
            assert!(MAY_BE_SEWN.contains(&name.as_str()), "{name}");
            before.retain(|file, _| !file.starts_with(&format!("{name}.")));
            after.retain(|file, _| !file.starts_with(&format!("{name}.")));
        }
    }
    assert_snapshot!(snapshot);
    // What was there is as it was; besides that there is what the good ones gave, and nothing half.
    after.retain(|name, _| !good.iter().any(|good| name.starts_with(good)));
    after.remove("hoopwright.batch.json");
    after.remove(".hoopwright-batch.hold");
    let names: Vec<&String> = after.keys().collect();
    assert_eq!(names, before.keys().collect::<Vec<_>>());
    assert!(after == before, "a file of yesterday has changed");
}

/// Steps that change nothing that is not theirs: an object's own id may be emptied by a design step.
const MAY_BE_SEWN: [&str; 1] = ["design-id-taken-away"];

fn one(kind: Kind, deed: &str) -> (PathBuf, Ended) {
    let name = calls::named(deed, kind);
    let folder = shop(&format!("run-{name}"));
    let deed = calls::all().find(|one| one.name == deed).unwrap();
    std::fs::write(folder.join("steps/hostile.wasm"), deed.plugin(kind).bytes()).unwrap();
    art(&folder, "owl");
    let steps = json!({ "steps": [{ "step": "region-fill" }, { "step": name }] });
    std::fs::write(folder.join("routine.json"), steps.to_string()).unwrap();
    std::fs::write(folder.join("out/owl.dst"), b"of yesterday").unwrap();
    let ended = run(
        &folder,
        &with_limits(&["run", "routine.json", "art/owl.svg", "--into", "out"]),
    );
    (folder, ended)
}

#[test]
fn a_run_that_fails_leaves_everything_as_it_was() {
    let mut seen = String::new();
    for deed in [
        "endless-loop",
        "endless-memory",
        "million-stitches",
        "id-with-commands",
        "panics-with-commands",
        "fails-with-commands",
    ] {
        for kind in [Kind::Object, Kind::Design] {
            let (folder, ended) = one(kind, deed);
            assert!(ended.peak_mib < MOST_MIB, "{deed}: {} MiB", ended.peak_mib);
            assert!(!ended.stderr.contains('\u{1b}'), "{:?}", ended.stderr);
            let left = files(&folder.join("out"));
            assert_eq!(
                left,
                BTreeMap::from([("owl.dst".to_owned(), b"of yesterday".to_vec())])
            );
            seen += &format!("{deed}\n{}\n", ended.seen(&folder));
        }
    }
    assert_snapshot!(seen);
}

/// No call is over its limit, but what all of them hand back together would be 400 MiB.
#[test]
fn all_answers_of_a_step_share_a_limit() {
    let folder = shop("much-for-each");
    std::fs::write(
        folder.join("steps/by-hand.wasm"),
        calls::much_for_each(20).bytes(),
    )
    .unwrap();
    let boxes: String = (0..20)
        .map(|i| format!(r##"<rect x="{i}" y="1" width="0.5" height="4" fill="#884422"/>"##))
        .collect();
    let text = format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="20mm" viewBox="0 0 20 20">{boxes}</svg>"#
    );
    std::fs::write(folder.join("art/boxes.svg"), text).unwrap();
    let steps = json!({ "steps": [{ "step": "by-hand" }] });
    std::fs::write(folder.join("routine.json"), steps.to_string()).unwrap();
    let arguments = ["run", "routine.json", "art/boxes.svg", "--into", "out"];
    let ended = run(&folder, &with_limits(&arguments));
    assert_snapshot!(ended.seen(&folder));
    assert!(ended.peak_mib < MOST_MIB, "{} MiB", ended.peak_mib);
    assert!(files(&folder.join("out")).is_empty());
}

/// A folder of plugins none of which can be used: each is told, and nothing of them reaches the
/// terminal.
#[test]
fn a_folder_of_bad_plugins_is_told_plugin_by_plugin() {
    let folder = shop("loading");
    let all = loading::all();
    for (name, bytes) in &all {
        std::fs::write(folder.join(format!("steps/{name}.wasm")), bytes).unwrap();
    }
    let ended = run(&folder, &with_limits(&["steps"]));
    assert_eq!(ended.code, 1);
    assert!(ended.peak_mib < MOST_MIB, "{} MiB", ended.peak_mib);
    assert!(!ended.stderr.contains('\u{1b}'));
    for (name, _) in &all {
        assert!(
            ended.stderr.contains(&format!("{name}.wasm")),
            "{name}: {}",
            ended.stderr
        );
    }
}

/// Names go into pictures, pages and messages: one that would command a terminal, or that XML has no
/// form for, is refused before it gets there, from a step as from an artwork.
#[test]
fn names_command_nothing() {
    let commands = |text: &str| text.contains(|c: char| c.is_control() && c != '\n');
    let mut seen = String::new();
    for kind in [Kind::Object, Kind::Design] {
        let folder = shop(&calls::named("names", kind));
        let mut raw = Raw::new(kind);
        raw.bytes_at(FREE, b"\x1b[2J<script>\x00\x07\"&'");
        raw.set_list(object::NAME, FREE, 17);
        if kind == Kind::Design {
            raw.set_list(object::ID, FREE, 17);
        }
        std::fs::write(folder.join("steps/by-hand.wasm"), raw.bytes()).unwrap();
        art(&folder, "owl");
        let steps = json!({ "steps": [{ "step": "region-fill" }, { "step": "by-hand" }] });
        std::fs::write(folder.join("routine.json"), steps.to_string()).unwrap();
        let ended = run(
            &folder,
            &["run", "routine.json", "art/owl.svg", "--into", "out"],
        );
        assert!(
            !commands(&ended.stdout) && !commands(&ended.stderr),
            "{:?}",
            ended.stderr
        );
        assert!(files(&folder.join("out")).is_empty());
        seen += &ended.seen(&folder);
    }
    let folder = shop("names-of-artwork");
    let design = Design {
        title: "owl \u{1b}[2J".to_owned(),
        ..two_objects()
    };
    std::fs::write(
        folder.join("art/owl.design.json"),
        design_json::write(&design),
    )
    .unwrap();
    std::fs::write(
        folder.join("routine.json"),
        r#"{"steps": [{"step": "transform"}]}"#,
    )
    .unwrap();
    let ended = run(
        &folder,
        &[
            "run",
            "routine.json",
            "art/owl.design.json",
            "--into",
            "out",
        ],
    );
    assert!(!commands(&ended.stderr), "{:?}", ended.stderr);
    seen += &ended.seen(&folder);
    assert_snapshot!(seen);
}

/// A promise broken a hundred thousand times is not as many lines.
#[test]
fn many_broken_promises_are_told_in_few_lines() {
    let folder = shop("many-promises");
    let mut raw = Raw::new(Kind::Design);
    calls::many_objects(&mut raw, 100_000);
    calls::without_threads(&mut raw, 100_000);
    std::fs::write(folder.join("steps/by-hand.wasm"), raw.bytes()).unwrap();
    art(&folder, "owl");
    let steps = json!({ "steps": [{ "step": "region-fill" }, { "step": "by-hand" }] });
    std::fs::write(folder.join("routine.json"), steps.to_string()).unwrap();
    let arguments = [
        "run",
        "routine.json",
        "art/owl.svg",
        "--into",
        "out",
        "--telling",
        "json",
    ];
    let ended = run(&folder, &arguments);
    assert_eq!(ended.code, 1);
    assert!(
        ended.stderr.lines().count() < 50,
        "{}",
        ended.stderr.lines().count()
    );
    assert!(
        ended.stderr.contains("more such things"),
        "{}",
        ended.stderr
    );
    assert!(ended.peak_mib < MOST_MIB, "{} MiB", ended.peak_mib);
}

/// What a plugin says of itself may command no terminal.
#[test]
fn what_a_plugin_says_commands_no_terminal() {
    let folder = shop("words");
    let mut raw = Raw::new(Kind::Object);
    raw.summary = "Fine.\u{1b}[2J\u{1b}]0;owned\u{7}\r\nDone.\u{202e}".to_owned();
    raw.manual = "# Fine\n\u{1b}[31mred\u{9b}31m".to_owned();
    raw.schema = json!({
        "type": "object",
        "properties": { "x\u{1b}[2J": {
            "description": "\u{1b}[2J", "default": "\u{1b}[2J",
            "oneOf": [{ "const": "\u{1b}[2J", "description": "\u{1b}[2J" }],
        } },
    })
    .to_string();
    std::fs::write(folder.join("steps/by-hand.wasm"), raw.bytes()).unwrap();
    for command in [
        &["steps"][..],
        &["describe", "by-hand"],
        &["describe", "by-hand", "--schema"],
        &["steps", "--json"],
    ] {
        let ended = run(&folder, command);
        assert_eq!(ended.code, 0, "{}", ended.stderr);
        let commands = |c: char| c.is_control() && c != '\n' || c == '\u{202e}';
        assert!(
            !ended.stdout.contains(commands) || command.contains(&"--json"),
            "{command:?}: {:?}",
            ended.stdout
        );
    }
}
