//! A step of one's own: begun, tested, tried, broken, and built again by another shop.

use crate::commands::transcript;
use crate::files::{hoopwright, scratch};
use insta::assert_snapshot;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// Everything here is built in one target folder, without the optimizing that takes most of the time.
const QUICK: [(&str, &str); 4] = [
    ("CARGO_PROFILE_RELEASE_LTO", "off"),
    ("CARGO_PROFILE_RELEASE_OPT_LEVEL", "0"),
    ("CARGO_PROFILE_RELEASE_CODEGEN_UNITS", "16"),
    ("CARGO_INCREMENTAL", "0"),
];

fn quick(mut command: Command, folder: &Path) -> Command {
    command
        .current_dir(folder)
        .envs(QUICK)
        .env("CARGO_TARGET_DIR", scratch().join("own-steps/target"))
        .env("NO_COLOR", "1")
        .env("CARGO_TERM_COLOR", "never")
        .env_remove("CARGO_ENCODED_RUSTFLAGS")
        .env_remove("RUSTFLAGS");
    command
}

/// The program, at work on the steps of this test.
fn program(folder: &Path) -> Command {
    quick(hoopwright(), folder)
}

fn cargo_test(folder: &Path, arguments: &[&str]) -> Output {
    let mut command = quick(Command::new(env!("CARGO")), folder);
    command
        .arg("test")
        .args(arguments)
        .env("HOOPWRIGHT", env!("CARGO_BIN_EXE_hoopwright"))
        .env("XDG_CACHE_HOME", scratch().join("cache"));
    command.output().unwrap()
}

fn told(output: &Output) -> String {
    [&output.stdout, &output.stderr]
        .map(|bytes| String::from_utf8_lossy(bytes).into_owned())
        .concat()
}

fn well(output: &Output) -> String {
    let told = told(output);
    assert!(output.status.success(), "{told}");
    told
}

/// What standard error says after the compiler's own lines.
fn after_building(output: &Output) -> String {
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    let own = |line: &&str| {
        let line = line.trim_start();
        ![
            "Compiling ",
            "Finished ",
            "Locking ",
            "Adding ",
            "Blocking ",
            "Removing ",
        ]
        .iter()
        .any(|word| line.starts_with(word))
    };
    said.lines().filter(own).collect::<Vec<_>>().join("\n")
}

/// A new folder of this name beside the other shops'.
fn shop(name: &str) -> PathBuf {
    let folder = scratch().join("own-steps").join(name);
    if folder.exists() {
        fs::remove_dir_all(&folder).unwrap();
    }
    fs::create_dir_all(&folder).unwrap();
    folder
}

fn begun(shop: &Path, kind: &str) -> PathBuf {
    let mut command = program(shop);
    let output = command.args(["begin", "own-step", "--kind", kind]).output();
    let said = well(&output.unwrap());
    assert!(said.contains("cd own-step"), "{said}");
    shop.join("own-step")
}

/// Tests natively, tries, and tests in the sandbox.
fn tested_and_tried(folder: &Path) {
    let said = well(&cargo_test(folder, &[]));
    assert!(said.contains("4 passed; 0 failed; 1 ignored"), "{said}");
    let tried = program(folder).arg("try").output().unwrap();
    let said = well(&tried);
    for words in [
        "own-step 0.1.0",
        "Settings:",
        "out/own-step.wasm",
        "sha256 ",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
    for file in ["own-step.wasm", "own-step.before-after.png", "sample.dst"] {
        assert!(folder.join("out").join(file).is_file(), "{file}");
    }
    let said = well(&cargo_test(folder, &["--", "--ignored"]));
    assert!(said.contains("1 passed; 0 failed"), "{said}");
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let target = to.join(entry.file_name());
        if entry.file_type().unwrap().is_dir() {
            copy(&entry.path(), &target);
        } else {
            fs::copy(entry.path(), target).unwrap();
        }
    }
}

fn edited(file: &Path, from: &str, to: &str) {
    let text = fs::read_to_string(file).unwrap();
    assert!(text.contains(from), "{from} is not in {}", file.display());
    fs::write(file, text.replacen(from, to, 1)).unwrap();
}

#[test]
fn a_step_from_nothing() {
    let ours = shop("ours");
    // The one kind after the other in the same place, so that what they need is built once.
    let design_step = begun(&ours, "design");
    tested_and_tried(&design_step);
    fs::rename(&design_step, ours.join("design-step")).unwrap();
    let step = begun(&ours, "object");
    tested_and_tried(&step);
    another_shop_builds_the_same(&step);
    another_shop_sews_the_same(&step);
    what_goes_wrong_is_told(&step);
}

/// The source alone, in another folder: the same plugin.
fn another_shop_builds_the_same(step: &Path) {
    let theirs = shop("theirs").join("deep/down/own-step");
    copy(step, &theirs);
    fs::remove_dir_all(theirs.join("out")).unwrap();
    well(&program(&theirs).arg("try").output().unwrap());
    for file in ["own-step.wasm", "sample.dst", "own-step.before-after.png"] {
        let [ours, theirs] = [step, &theirs].map(|folder| fs::read(folder.join("out").join(file)));
        assert!(ours.unwrap() == theirs.unwrap(), "{file} differs");
    }
    let plugin = fs::read(step.join("out/own-step.wasm")).unwrap();
    let home = std::env::home_dir().unwrap();
    for path in [step.parent().unwrap(), &home] {
        let path = path.to_str().unwrap().as_bytes();
        let holds = plugin.windows(path.len()).any(|window| window == path);
        assert!(!holds, "the plugin holds a path of this computer");
    }
}

/// The plugin alone, with the routine that names it: the same machine file.
fn another_shop_sews_the_same(step: &Path) {
    let bench = shop("bench");
    fs::create_dir(bench.join("out")).unwrap();
    for file in ["routine.json", "sample.svg", "out/own-step.wasm"] {
        fs::copy(step.join(file), bench.join(file)).unwrap();
    }
    let mut command = hoopwright();
    command.current_dir(&bench).args(["run", "routine.json"]);
    command.args(["sample.svg", "--hold-at", "never"]);
    well(&command.output().unwrap());
    let ours = fs::read(step.join("out/sample.dst")).unwrap();
    assert!(ours == fs::read(bench.join("sample.dst")).unwrap());
}

/// Panics and log lines name step, object and source line; a step that does not build, or that the
/// routine does not use, is told, and what was there stays.
fn what_goes_wrong_is_told(step: &Path) {
    let source = step.join("src/lib.rs");
    let plugin = step.join("out/own-step.wasm");
    edited(
        &source,
        "    let mut zigzag = StitchList::new();",
        "    messages::log(\"it begins\");\n    \
         if object.id == \"ring\" {\n        panic!(\"round things roll away\");\n    }\n    \
         let mut zigzag = StitchList::new();",
    );
    let panicked = program(step).arg("try").output().unwrap();
    assert_eq!(panicked.status.code(), Some(1));
    assert_snapshot!("a_panic", after_building(&panicked));

    let built = fs::read(&plugin).unwrap();
    edited(&source, "let mut zigzag", "let mut zigzag zigzag");
    let unbuilt = program(step).arg("try").output().unwrap();
    assert_eq!(unbuilt.status.code(), Some(1));
    let said = told(&unbuilt);
    assert!(said.contains("--> src/lib.rs:"), "{said}");
    assert!(said.contains("does-not-build"), "{said}");
    assert!(built == fs::read(&plugin).unwrap());

    edited(&source, "let mut zigzag zigzag", "let mut zigzag");
    edited(&source, "panic!(\"round things roll away\");", "");
    edited(&step.join("routine.json"), "\"own-step\"", "\"line-run\"");
    edited(
        &step.join("routine.json"),
        "\"width\": 3",
        "\"passes\": \"bean\"",
    );
    let misfit = program(step).arg("try").output().unwrap();
    assert_eq!(misfit.status.code(), Some(1));
    assert_snapshot!("a_wrong_routine", after_building(&misfit));
    edited(&step.join("routine.json"), "\"bean\"", "\"triple\"");
    let unused = program(step).arg("try").output().unwrap();
    assert_eq!(unused.status.code(), Some(1));
    assert_snapshot!("an_unused_step", after_building(&unused));

    edited(&source, "width: f64 = 2.0", "width: f64 = 8.0");
    let unfit = told(&program(step).arg("try").output().unwrap());
    let words = "warning[unfit-default]: a default does not fit its own rules: \"width\" is 8, and must be at most 7.0 mm";
    assert!(unfit.contains(words), "{unfit}");
}

/// Every refusal says what to do, and writes nothing.
#[test]
fn refusals() {
    assert_snapshot!(transcript(
        "steps",
        &[
            "begin Wing_Zigzag --into $FRESH",
            "begin 7 --into $FRESH",
            "begin move --into $FRESH",
            "begin align --sdk artwork --into $FRESH",
            "begin there",
            "try",
            "try gone",
            "apply line-rum --design two.design.json --to $FRESH",
            "apply line-run --design gone.json --to $FRESH",
            "apply line-run --design two.design.json --settings @gone.json --to $FRESH",
            "apply line-run --design two.design.json --settings {\"pases\":1} --to $FRESH",
            "apply line-run --design two.design.json --on eye,beek --to $FRESH",
        ]
    ));
}

/// A step applied to some objects of a design leaves the others as they are.
#[test]
fn one_step_on_one_design() {
    let folder = shop("apply");
    let design = crate::files::root().join("tests/commands/steps/two.design.json");
    let mut command = hoopwright();
    command
        .current_dir(&folder)
        .args(["apply", "line-run", "--design"]);
    command
        .arg(design)
        .args(["--on", "beak", "--to", "out.json"]);
    command.args(["--settings", r#"{ "stitch-length": 2 }"#]);
    well(&command.output().unwrap());
    let text = fs::read_to_string(folder.join("out.json")).unwrap();
    let design = hoopwright::formats::design_json::read(&text, Path::new("out.json")).unwrap();
    assert!(design.objects[0].stitches.is_empty());
    assert!(!design.objects[1].stitches.is_empty());
}

/// Without Rust, and without its Wasm library, `try` says what to install.
#[test]
#[cfg(unix)]
fn without_rust() {
    use std::os::unix::fs::PermissionsExt as _;
    let folder = shop("without-rust");
    let step = begun(&folder, "object");
    let tools = folder.join("tools");
    fs::create_dir(&tools).unwrap();
    let try_it = || {
        let mut command = program(&step);
        command
            .env("PATH", &tools)
            .env_remove("RUSTC")
            .env_remove("CARGO");
        let output = command.arg("try").output().unwrap();
        assert_eq!(output.status.code(), Some(1));
        after_building(&output)
    };
    let mut seen = format!("without Rust:\n{}\n", try_it());
    // A Rust of which the Wasm library was not installed, and that cannot install it.
    let rustc = tools.join("rustc");
    fs::write(&rustc, "#!/bin/sh\necho /nowhere\n").unwrap();
    fs::set_permissions(&rustc, fs::Permissions::from_mode(0o755)).unwrap();
    seen += &format!("without its Wasm library:\n{}\n", try_it());
    assert_snapshot!(seen);
    assert!(!step.join("out").exists());
}
