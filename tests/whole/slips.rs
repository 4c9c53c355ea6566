//! Slips of newcomers: a file of another kind, in another encoding, or with commas in its numbers is told in
//! one sentence that says what to do.

use crate::files::{hoopwright, root, scratch};
use std::fs;
use std::path::PathBuf;
use std::process::Output;

const ROUTINE: &str = r#"{ "steps": [{ "step": "line-run" }] }"#;

/// A new folder with these files.
fn folder(name: &str, files: &[(&str, &[u8])]) -> PathBuf {
    let folder = scratch().join("slips").join(name);
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).unwrap();
    for (name, bytes) in files {
        fs::write(folder.join(name), bytes).unwrap();
    }
    folder
}

fn run(folder: &PathBuf, line: &str) -> Output {
    let mut command = hoopwright();
    command.current_dir(folder).env("NO_COLOR", "1");
    command.args(line.split_whitespace()).output().unwrap()
}

/// The one error of a command that ends with code 1, with what is beneath it.
fn one_error(folder: &PathBuf, line: &str) -> String {
    let output = run(folder, line);
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(1), "{line}: {said}");
    assert_eq!(said.matches("error[").count(), 1, "{line}: {said}");
    said
}

#[test]
fn a_file_of_another_kind_is_told_in_one_sentence() {
    let demo = root().join("demo-pipelines");
    let read = |name: &str| fs::read(demo.join(name)).unwrap();
    let folder = folder(
        "kinds",
        &[
            ("machine.json", &read("machine.json")),
            ("rack.json", &read("thread-rack.json")),
            ("routine.json", ROUTINE.as_bytes()),
            (
                "swapped.json",
                br#"{ "rack": "machine.json", "steps": [{ "step": "line-run" }] }"#,
            ),
            (
                "swapped-too.json",
                br#"{ "machine": "rack.json", "steps": [{ "step": "line-run" }] }"#,
            ),
        ],
    );
    for (line, words) in [
        (
            "check machine.json",
            "this is a machine's profile; a pipeline has \"steps\"",
        ),
        (
            "check rack.json",
            "this is a thread rack; a pipeline has \"steps\"",
        ),
        (
            "check swapped.json",
            "this is a machine's profile; a thread rack has \"threads\"",
        ),
        (
            "check swapped-too.json",
            "this is a thread rack, where a machine's profile belongs",
        ),
        (
            "run routine.json routine.json --into out",
            "this is a pipeline; a design has \"objects\"",
        ),
    ] {
        let said = one_error(&folder, line);
        assert!(said.contains(words), "{line}: {said}");
    }
}

#[test]
fn text_that_is_not_json_is_told_with_the_usual_slip() {
    let square = fs::read(root().join("tests/commands/artwork/square.svg")).unwrap();
    let comma = br#"{ "steps": [{ "step": "region-fill", "settings": { "density": 0,4 } }] }"#;
    let files: [(&str, &[u8]); 4] = [
        ("routine.json", ROUTINE.as_bytes()),
        ("square.svg", &square),
        ("comma.json", comma),
        ("empty.json", b""),
    ];
    let folder = folder("not-json", &files);
    for (line, words) in [
        ("check comma.json", "Write numbers with a point: 0.4."),
        ("check empty.json", "The file is empty."),
        (
            "run square.svg routine.json --into out",
            "the pipeline comes first",
        ),
    ] {
        let said = one_error(&folder, line);
        assert!(said.contains(words), "{line}: {said}");
    }
}

/// Latin-1 (ISO 8859-1) has é as the byte E9, which is no text in UTF-8.
#[test]
fn where_a_rack_s_path_is_taken_from_is_told_only_where_the_file_cannot_be_opened() {
    let path = "is taken from the pipeline's own folder";
    let with = |entry: &str| format!(r#"{{ {entry}, "steps": [{{ "step": "line-run" }}] }}"#);
    let (rack, machine) = (
        with(r#""rack": "wall.csv""#),
        with(r#""machine": "mill.json""#),
    );
    let large = vec![b' '; (4 << 20) + 1];
    for (name, bytes, told, help) in [
        (
            "latin",
            Some(&b"code,name,colour\nE,\xe9meraude,#008040\n"[..]),
            "is not UTF-8 text",
            "Save it as UTF-8",
        ),
        (
            "large",
            Some(&large[..]),
            "it is larger than 4 MiB",
            "See whether it is the file that was meant",
        ),
        ("gone", None, "cannot be read", path),
    ] {
        let folder = folder(
            name,
            &[
                ("rack.json", rack.as_bytes()),
                ("machine.json", machine.as_bytes()),
            ],
        );
        for file in ["wall.csv", "mill.json"] {
            if let Some(bytes) = bytes {
                fs::write(folder.join(file), bytes).unwrap();
            }
        }
        for line in ["check rack.json", "check machine.json"] {
            let said = one_error(&folder, line);
            assert!(said.contains(told) && said.contains(help), "{name}: {said}");
            assert_eq!(said.contains(path), bytes.is_none(), "{name}: {said}");
        }
    }
}

/// Before the sewing, not after it.
#[test]
fn a_file_in_the_place_of_the_folder_is_told_before_anything_is_sewn() {
    let square = fs::read(root().join("tests/commands/artwork/square.svg")).unwrap();
    // The artwork, which would be told first if it were looked at.
    let folder = folder(
        "into",
        &[
            ("routine.json", ROUTINE.as_bytes()),
            ("square.svg", &square),
            ("broken.svg", b"<svg"),
            ("out", b"kept"),
        ],
    );
    for line in [
        "run routine.json broken.svg --into out",
        "run routine.json square.svg --into out",
        "run routine.json square.svg --into out/deeper",
        "batch routine.json square.svg --into out",
        "manual --into out",
    ] {
        let output = run(&folder, line);
        let said = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(3), "{line}: {said}");
        assert!(
            said.contains("out is a file, not a folder"),
            "{line}: {said}"
        );
        assert_eq!(said.matches("error[").count(), 1, "{line}: {said}");
    }
    assert_eq!(fs::read(folder.join("out")).unwrap(), b"kept");
}

/// The order and the ends would be planned for a machine file that is never made.
#[test]
fn settings_that_plan_for_another_step_are_held_against_it() {
    let routine = |plans: &str, does: &str| {
        let text = format!(
            r#"{{ "steps": [
                {{ "step": "sew-order" }},
                {{ "step": "starts-and-finishes", "settings": {{ {plans} }} }},
                {{ "step": "ties-and-trims", "settings": {{ {does} }} }}
            ] }}"#
        );
        let folder = folder("agreement", &[("routine.json", text.as_bytes())]);
        let checked = run(&folder, "check routine.json");
        assert_eq!(checked.status.code(), Some(0));
        String::from_utf8(checked.stderr).unwrap()
    };
    assert_eq!(routine("", ""), "");
    assert_eq!(routine(r#""trim-over": 5"#, r#""trim-over": 5.0"#), "");
    let told = routine(r#""hidden-travel": 80"#, r#""trim-over": 2"#);
    assert_eq!(told.matches("settings-disagree").count(), 3, "{told}");
    let words = "`hidden-travel` is 80 here and 30";
    assert!(told.contains(words), "{told}");
}

/// A step that is still to be chosen must not be left out of the sewing without a word.
#[test]
fn a_step_without_a_name_is_a_mistake() {
    let text = br#"{ "steps": [{ "step": "line-run" }, { "step": "" }] }"#;
    let folder = folder("nameless", &[("routine.json", text)]);
    one_error(&folder, "check routine.json");
}
