//! What the documents show can be done as they show it.

use crate::files::{hoopwright, root, scratch};
use std::fs;
use std::path::PathBuf;

fn document(name: &str) -> String {
    fs::read_to_string(root().join(name)).unwrap()
}

/// The first block of code of this language below a heading.
fn block<'a>(document: &'a str, heading: &str, language: &str) -> &'a str {
    let from = document.find(&format!("\n{heading}\n")).unwrap();
    let rest = &document[from..];
    let mark = format!("```{language}\n");
    let rest = &rest[rest.find(&mark).unwrap() + mark.len()..];
    &rest[..rest.find("\n```").unwrap()]
}

/// The demo's files without the owl's products, for a newcomer to work in.
fn demo(name: &str) -> PathBuf {
    let folder = scratch().join("documents").join(name);
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(folder.join("owl")).unwrap();
    let demo = root().join("demo-pipelines");
    for file in ["machine.json", "thread-rack.json", "owl/owl.svg"] {
        fs::copy(demo.join(file), folder.join(file)).unwrap();
    }
    folder
}

/// Saved word for word beside the demo's rack and machine, it sews the demo's artwork.
#[test]
fn the_readme_s_pipeline_sews_the_owl() {
    let folder = demo("readme");
    let readme = document("README.md");
    let pipeline = block(&readme, "## A pipeline", "json");
    fs::write(folder.join("my-routine.json"), pipeline).unwrap();
    let output = hoopwright()
        .current_dir(&folder)
        .args(["run", "my-routine.json", "owl/owl.svg", "--into", "out"])
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(0), "{said}");
    for product in ["owl.dst", "owl.worksheet.pdf", "owl.report.json"] {
        assert!(folder.join("out").join(product).is_file(), "{product}");
    }
}

/// The first plugin is the same in both places, and the SDK's documentation test compiles it.
#[test]
fn the_first_plugin_is_the_one_that_is_tested() {
    let developers = document("DEVELOPERS.md");
    let shown = block(&developers, "## Write a step", "rust");
    let sdk = document("sdk/src/lib.rs");
    let tested: Vec<&str> = sdk
        .lines()
        .map_while(|line| line.strip_prefix("//!"))
        .map(|line| line.strip_prefix(' ').unwrap_or(line))
        .collect();
    let tested = format!("\n## The crate\n{}", tested.join("\n")).replace("\n```\n", "\n```rust\n");
    let tested = block(&tested, "## The crate", "rust");
    assert_eq!(shown.strip_prefix("// src/lib.rs\n"), Some(tested));
}
