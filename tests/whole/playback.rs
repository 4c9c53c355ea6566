//! The command `playback`: a page for a file that is already there.

use crate::files::{hoopwright, root, scratch};
use crate::owl::sewn;
use serde_json::Value;
use std::path::Path;

/// What the page of `file` holds.
fn story(file: &Path, page: &str) -> Value {
    let page = scratch().join(page);
    let output = hoopwright()
        .arg("playback")
        .arg(file)
        .arg("--to")
        .arg(&page)
        .output()
        .unwrap();
    let told = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success(), "{told}");
    let text = std::fs::read_to_string(page).unwrap();
    let (_, rest) = text.split_once(r#"id="story">"#).unwrap();
    serde_json::from_str(rest.split_once("</script>").unwrap().0).unwrap()
}

#[test]
fn a_machine_file_is_played_with_the_same_moves_as_its_design() {
    let folder = &sewn().folder;
    let design = story(&folder.join("owl.design.json"), "owl-design.html");
    let machine_file = story(&folder.join("owl.dst"), "owl-dst.html");
    for column in ["count", "right", "down"] {
        assert_eq!(
            design["moves"][column], machine_file["moves"][column],
            "{column}"
        );
    }
    assert!(design["artwork"].is_object());
    assert!(machine_file["artwork"].is_null(), "a DST holds no shapes");
    assert_eq!(
        design["runs"].as_array().map(Vec::len),
        machine_file["runs"].as_array().map(Vec::len)
    );
}

#[test]
fn artwork_without_stitches_is_no_playback() {
    let page = scratch().join("unsewn.html");
    let output = hoopwright()
        .arg("playback")
        .arg(root().join("demo-pipelines/owl/owl.svg"))
        .arg("--to")
        .arg(&page)
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(1));
    let told = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(told.contains("the design holds no stitches"), "{told}");
    assert!(!page.exists());
}
