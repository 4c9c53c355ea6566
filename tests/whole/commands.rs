//! Commands and what they print. The expected words are the files in `tests/whole/snapshots`.

use crate::files::{hoopwright, root};
use insta::assert_snapshot;
use std::path::PathBuf;

/// Runs one command a line in `tests/commands/<folder>`, and gives all that a person would see.
/// `$FRESH` is a folder that does not exist.
fn transcript(folder: &str, lines: &[&str]) -> String {
    let mut seen = String::new();
    // Tests run side by side, each on a thread of its own name.
    let test = std::thread::current()
        .name()
        .unwrap_or_default()
        .replace(':', "-");
    let fresh = crate::files::scratch().join(format!("never-written-by-{test}"));
    for line in lines {
        let output = hoopwright()
            .current_dir(root().join("tests/commands").join(folder))
            .env("NO_COLOR", "1")
            .env("COLUMNS", "100")
            .args(line.split_whitespace().map(|word| match word {
                "$FRESH" => fresh.clone(),
                word => PathBuf::from(word),
            }))
            .output()
            .unwrap();
        seen += &format!("$ hoopwright {line}\n");
        seen += &String::from_utf8(output.stdout).unwrap();
        seen += &String::from_utf8(output.stderr).unwrap();
        if !seen.ends_with('\n') {
            seen.push('\n');
        }
        let code = output.status.code().unwrap();
        if code != 0 {
            seen += &format!("(exit {code})\n");
        }
        seen.push('\n');
        assert!(!fresh.exists(), "{line} wrote something");
    }
    seen
}

#[test]
fn help() {
    assert_snapshot!(transcript(
        ".",
        &[
            "--help",
            "run --help",
            "batch --help",
            "live --help",
            "report --help",
            "push --help",
            "pull --help",
            "sew-it"
        ]
    ));
}

#[test]
fn steps() {
    assert_snapshot!(transcript(
        ".",
        &["steps", "describe align", "describe regoin-fill"]
    ));
}

/// Every mistake in a pipeline is told before anything runs, with its place and the nearest name.
#[test]
fn broken_pipelines() {
    assert_snapshot!(transcript(
        "pipelines",
        &[
            "check unknown-step.json",
            "check wrong-settings.json",
            "check wrong-selection.json",
            "check wrong-entries.json",
            "check no-rack.json",
            "check broken-rack.json",
            "check broken-rack-table.json",
            "check unknown-needle.json",
            "check not-json.json",
            "check twice.json",
            "check gone.json",
            "--telling json check unknown-step.json",
            "check sound.json",
        ]
    ));
}

/// A machine's profile is checked with the pipeline that names it, wherever it stands.
#[test]
fn machine_profiles() {
    assert_snapshot!(transcript(
        "pipelines",
        &[
            "check broken-machine-file.json",
            "check contrary-machine-file.json",
            "check no-machine-file.json",
            "check wrong-machine.json",
            "check contrary-entry.json",
            "check no-machine.json",
            "report ../artwork/square.svg",
            "report ../artwork/square.svg --machine contrary-machine.json",
        ]
    ));
}

/// What is wrong with a registry's step is told before anything is asked, and a run asks nothing.
#[test]
fn registries() {
    assert_snapshot!(transcript(
        "pipelines",
        &[
            "pull oci:barn/owl",
            "pull oci:Barn/owl:1 oci:barn.example/Owl:1 gone.json",
            "pull oci:127.0.0.1:1/barn/owl:1",
            "push alig oci:barn.example/align:1",
            "push align oci:barn.example/align:1 --user owl",
            "check sound.json --plugin oci:barn.example/owl:1",
            "check sound.json --plugin oci:barn.example/owl",
        ]
    ));
}

/// A plugin that is none, and limits that are too small for the work.
#[test]
fn refused_steps() {
    assert_snapshot!(transcript(
        "pipelines",
        &[
            "check sound.json --plugin not-json.json",
            "check sound.json --plugin gone.wasm",
            "run sound.json ../../../demo-pipelines/owl/owl.svg --into $FRESH --work-limit 10",
            "run sound.json ../../../demo-pipelines/owl/owl.svg --into $FRESH --memory-limit 2",
        ]
    ));
}

#[test]
fn broken_artwork() {
    assert_snapshot!(transcript(
        "artwork",
        &[
            "run ../pipelines/sound.json gone.svg --into $FRESH",
            "run ../pipelines/sound.json broken.svg --into $FRESH",
            "run ../pipelines/sound.json empty.svg --into $FRESH",
            "run ../pipelines/sound.json huge.svg --into $FRESH",
            "run ../pipelines/sound.json notes.txt --into $FRESH",
            "run ../pipelines/sound.json garbage.dst --into $FRESH",
            "run ../pipelines/sound.json broken.design.json --into $FRESH",
        ]
    ));
}

/// What is not flat is named, with its place.
#[test]
fn artwork_that_is_not_flat() {
    assert_snapshot!(transcript("artwork", &["--notes inspect not-flat.svg"]));
}

#[test]
fn inspecting() {
    assert_snapshot!(transcript(
        "artwork",
        &["inspect square.svg", "inspect square.svg --json"]
    ));
}

/// The rules that editors get: plain draft 2020-12 with nothing to fetch, and the demo keeps them.
#[test]
fn the_composed_schema_accepts_the_demo_and_refuses_slips() {
    let output = hoopwright().arg("schema").output().unwrap();
    let schema: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    for file in [
        "demo-pipelines/owl/owl.json",
        "demo-pipelines/any-artwork.json",
    ] {
        let text = std::fs::read_to_string(root().join(file)).unwrap();
        let mut pipeline: serde_json::Value = serde_json::from_str(&text).unwrap();
        assert!(validator.is_valid(&pipeline), "{file}");
        pipeline["steps"][0]["settings"]["no-such-setting"] = 1.into();
        assert!(!validator.is_valid(&pipeline), "{file}");
    }
    for reference in schema.to_string().split("\"$ref\":\"").skip(1) {
        assert!(reference.starts_with("#/$defs/"), "{}", &reference[..40]);
    }
}

/// Editors that open the demo find the rules beside it.
#[test]
fn the_schema_beside_the_demo_is_current() {
    let output = hoopwright().arg("schema").output().unwrap();
    let committed = std::fs::read(root().join("demo-pipelines/pipeline.schema.json")).unwrap();
    assert!(
        committed == output.stdout,
        "write it anew: hoopwright schema --to demo-pipelines/pipeline.schema.json"
    );
}
