//! Files that a command reads are never replaced by what it makes of them; and names of files that are no
//! text, or command a terminal, hide nothing that is told.

use super::child::run;
use crate::files::scratch;
use hoopwright::design::{Design, Object, Shape, StitchList, StitchRole, Thread};
use hoopwright::formats::{design_json, dst};
use serde_json::{Value, json};
use std::ffi::OsStr;
use std::os::unix::ffi::OsStrExt as _;
use std::path::{Path, PathBuf};

fn shop(name: &str) -> PathBuf {
    let folder = scratch().join("own-files").join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(folder.join("art")).unwrap();
    let turned = json!({ "rack": "rack.json", "steps": [{ "step": "transform", "settings": { "turn": 10.0 } }] });
    std::fs::write(folder.join("mv.json"), turned.to_string()).unwrap();
    let rack =
        json!({ "name": "shop", "threads": [{ "code": "1", "name": "red", "colour": "#c81e1e" }] });
    std::fs::write(folder.join("rack.json"), rack.to_string()).unwrap();
    let sewn = sewn();
    std::fs::write(folder.join("owl.design.json"), design_json::write(&sewn)).unwrap();
    let machine = dst::write(&sewn, &dst::Machine::default()).unwrap();
    std::fs::write(folder.join("owl.dst"), machine.bytes).unwrap();
    folder
}

fn sewn() -> Design {
    let mut line = StitchList::new();
    for i in 0..20 {
        let at = hoopwright::design::Point {
            x: 2.0 * f64::from(i),
            y: 0.0,
        };
        line.needle(StitchRole::Cover, at.into());
    }
    let mut object = Object::new("run", Shape::Manual);
    object.stitches = line.into_blocks();
    Design {
        title: "owl".to_owned(),
        threads: vec![Thread {
            name: "red".to_owned(),
            code: String::new(),
            red: 200,
            green: 30,
            blue: 30,
            weight: 40,
        }],
        objects: vec![object],
        ..super::two_objects()
    }
}

fn all(folder: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let entries = std::fs::read_dir(folder).unwrap();
    let paths = entries.map(|entry| entry.unwrap().path());
    let mut files: Vec<_> = paths
        .filter(|path| path.is_file())
        .map(|path| (path.clone(), std::fs::read(path).unwrap()))
        .collect();
    files.sort();
    files
}

#[test]
fn what_a_command_reads_it_does_not_replace() {
    let ways = [
        "run mv.json owl.dst",
        "run mv.json owl.design.json",
        "run mv.json art/../owl.dst --into art/..",
        "run owl.report.json owl.design.json --into .",
        "playback owl.dst --to owl.dst",
        "playback owl.dst --to linked.html",
        "apply transform --design owl.design.json --to owl.design.json",
        "apply transform --design owl.design.json --settings @set.json --to set.json",
        "picture drawn.svg --to drawn.svg",
        "batch mv.json owl.dst --into .",
    ];
    for way in ways {
        let folder = shop("read");
        // A pipeline, and a rack, may have any name.
        std::fs::copy(folder.join("mv.json"), folder.join("owl.report.json")).unwrap();
        std::fs::write(folder.join("set.json"), r#"{"turn": 10.0}"#).unwrap();
        std::fs::copy(folder.join("owl.dst"), folder.join("drawn.svg")).unwrap();
        std::os::unix::fs::symlink("owl.dst", folder.join("linked.html")).unwrap();
        let before = all(&folder);
        let words: Vec<&str> = way.split(' ').collect();
        let ended = run(&folder, &words);
        let told = format!("{}{}", ended.stdout, ended.stderr);
        assert_eq!(ended.code, 3, "{way}: {told}");
        assert!(told.contains("cannot-write"), "{way}: {told}");
        let after = all(&folder);
        let changed = before.iter().find(|file| !after.contains(file));
        assert_eq!(changed.map(|(path, _)| path), None, "{way}");
        if !way.starts_with("batch") {
            assert_eq!(before.len(), after.len(), "{way}: something was written");
        }
    }
    // Elsewhere it may go.
    let folder = shop("elsewhere");
    let ended = run(&folder, &["run", "mv.json", "owl.dst", "--into", "out"]);
    assert_eq!(ended.code, 0, "{}", ended.stderr);
    assert!(folder.join("out/owl.dst").exists());
}

/// A name on Unix is any bytes but `/` and NUL (POSIX.1-2017, section 3.170).
#[test]
fn a_name_that_is_no_text_empties_no_account() {
    let folder = shop("no-text");
    let art = r##"<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="20mm" viewBox="0 0 20 20"><rect x="5" y="5" width="8" height="8" fill="#884422"/><text x="1" y="2">owl</text></svg>"##;
    let name = OsStr::from_bytes(b"a\xff.svg");
    std::fs::write(folder.join("art").join(name), art).unwrap();
    let routine = json!({ "steps": [{ "step": "region-fill" }] });
    std::fs::write(folder.join("routine.json"), routine.to_string()).unwrap();
    let words = [
        "batch",
        "routine.json",
        "art",
        "--into",
        "out",
        "--telling",
        "json",
    ];
    let ended = run(&folder, &words);
    assert_eq!(ended.code, 0, "{}", ended.stderr);
    let lines = ended.stdout.lines();
    let lines: Vec<Value> = lines
        .map(|line| serde_json::from_str(line).unwrap())
        .collect();
    assert_eq!(lines[0]["artwork"], "art/a\u{fffd}.svg");
    let files = lines[0]["files"].as_array().unwrap();
    let account = files.iter().filter_map(Value::as_str);
    let account = account
        .into_iter()
        .find(|file| file.ends_with("report.json"));
    let account = std::fs::read(folder.join(account.unwrap())).unwrap();
    let account: Value = serde_json::from_slice(&account).unwrap();
    let findings = account["findings"].as_array().unwrap();
    let about_it = |finding: &&Value| finding["file"] == "art/a\u{fffd}.svg";
    assert!(
        findings.iter().any(|finding| about_it(&finding)),
        "{findings:?}"
    );
}

/// ESC ] 0 ; and BEL set a terminal's title; U+009B begins a command; U+202E turns what follows.
#[test]
fn a_file_s_name_commands_no_terminal() {
    let commands = |text: &str| {
        text.contains(|c: char| {
            c.is_control() && c != '\n' || ('\u{202a}'..='\u{202e}').contains(&c)
        })
    };
    for odd in ["x\u{1b}]0;evil\u{7}", "y\u{9b}2J", "z\u{202e}lwo", "a\nb"] {
        let folder = shop("commanding");
        // A title of its own: the file's name is none that could be printed.
        let art = format!("art/{odd}.dst");
        std::fs::copy(folder.join("owl.dst"), folder.join(&art)).unwrap();
        let into = format!("out{odd}");
        for words in [
            vec!["run", "mv.json", &art, "--into", &into],
            vec!["inspect", &art],
            vec!["playback", &art, "--to", "page\u{1b}[2J.html"],
        ] {
            let ended = run(&folder, &words);
            assert_eq!(ended.code, 0, "{:?}", ended.stderr);
            assert!(!commands(&ended.stdout), "{:?}", ended.stdout);
            assert!(!commands(&ended.stderr), "{:?}", ended.stderr);
        }
    }
}
