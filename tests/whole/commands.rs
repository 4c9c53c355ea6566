//! Commands and what they print. The expected words are the files in `tests/whole/snapshots`.

use crate::files::{hoopwright, root};
use insta::assert_snapshot;
use std::path::PathBuf;

/// Runs one command a line in `tests/commands/<folder>`, and gives all that a person would see.
/// `$FRESH` is a folder that does not exist.
pub fn transcript(folder: &str, lines: &[&str]) -> String {
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
            "lock --help",
            "pack --help",
            "unpack --help",
            "key --help",
            "trust --help",
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
            "run unknown-step.json ../artwork/gone.svg --into $FRESH",
            "check sound.json",
        ]
    ));
}

/// Mistakes in parts and in what they are given are told where they can be mended.
#[test]
fn broken_parts() {
    assert_snapshot!(transcript(
        "parts",
        &[
            "check sound.json edges.json",
            "check wrong-given.json",
            "check does-not-fit.json",
            "check default-does-not-fit.json",
            "check two-faulty.json",
            "check round.json",
            "check itself.json",
            "check nothing-taken.json",
            "check faulty.json",
            "run edges.json ../artwork/square.svg --into $FRESH",
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

/// The rules of parts: what is taken may stand in the place of a value, and nowhere else.
#[test]
fn the_schema_of_parts_accepts_the_demo_s_and_refuses_slips() {
    let output = hoopwright().args(["schema", "part"]).output().unwrap();
    let schema: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    let text =
        std::fs::read_to_string(root().join("demo-pipelines/parts/tiny-details.json")).unwrap();
    let part: serde_json::Value = serde_json::from_str(&text).unwrap();
    assert!(validator.is_valid(&part));
    for (pointer, wrong) in [
        (
            "/steps/0/settings",
            serde_json::json!({ "no-such-setting": 1 }),
        ),
        ("/steps/1/settings/density", "0.3".into()),
        (
            "/steps/1/settings/density",
            serde_json::json!({ "takn": "density" }),
        ),
        ("/steps/1/on/area/under", "4".into()),
        (
            "/takes/density",
            serde_json::json!({ "type": "number", "minimun": 1 }),
        ),
        ("/takes/density", serde_json::json!({ "default": 1 })),
    ] {
        let mut slip = part.clone();
        *slip.pointer_mut(pointer).unwrap() = wrong;
        assert!(!validator.is_valid(&slip), "{pointer}");
    }
}

/// Editors that open the demo find the rules beside it.
#[test]
fn the_schemas_beside_the_demo_are_current() {
    for of in ["pipeline", "part"] {
        let output = hoopwright().args(["schema", of]).output().unwrap();
        let file = format!("demo-pipelines/{of}.schema.json");
        let committed = std::fs::read(root().join(&file)).unwrap_or_default();
        assert!(
            committed == output.stdout,
            "write it anew: hoopwright schema {of} --to {file}"
        );
    }
}
