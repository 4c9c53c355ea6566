//! Which artworks a batch has, and what is told before anything runs.

use super::shop::{Shop, Told, files};
use crate::files::hoopwright;
use std::io::Write as _;
use std::process::Stdio;

/// Those alone fail whose products would have one name, and what was given twice is taken once.
#[test]
fn names_that_fall_together_fail_only_those_that_have_them() {
    let shop = Shop::new("names");
    shop.square("owl", 10);
    shop.square("a", 10);
    shop.write("Owl.dst", "");
    let told = shop.run(&["Owl.dst", "art/a.svg", "art/../art/a.svg"]);
    assert_eq!(told.code, 1);
    let expected = [("Owl", "failed"), ("a", "sewn"), ("owl", "failed")];
    assert_eq!(told.outcomes(), expected);
    assert_eq!(told.totals["artworks"], 3);
    for name in ["Owl", "owl"] {
        let why = &told.artworks[name]["findings"][0];
        assert_eq!(why["code"], "same-name");
        let message = why["message"].as_str().unwrap();
        assert!(message.contains("art/owl.svg, Owl.dst"), "{message}");
    }
    assert!(!shop.written().keys().any(|name| name.contains("wl.")));
    assert_eq!(
        shop.run(&[]).outcomes(),
        [("a", "unchanged"), ("owl", "sewn")]
    );
}

#[test]
fn a_folder_that_cannot_be_taken_is_told_before_anything_runs() {
    let shop = Shop::new("no-folder");
    shop.square("a", 10);
    let mut command = hoopwright();
    command
        .args(["batch", "routine.json", "art", "--into", "art/../art"])
        .current_dir(&shop.folder);
    let words = String::from_utf8(command.output().unwrap().stderr).unwrap();
    assert!(words.contains("same-folder"), "{words}");
    let empty = shop.path("empty");
    std::fs::create_dir(&empty).unwrap();
    let mut command = hoopwright();
    command
        .args(["batch", "routine.json", "empty", "--into", "out"])
        .current_dir(&shop.folder);
    let words = String::from_utf8(command.output().unwrap().stderr).unwrap();
    assert!(words.contains("no-artwork"), "{words}");
}

/// What `run` writes lies beside the artwork unless told otherwise, and is no artwork of its own.
#[test]
fn what_a_run_wrote_beside_the_artwork_is_no_artwork() {
    let shop = Shop::new("beside");
    shop.square("a", 10);
    shop.square("b", 12);
    crate::files::sew(
        &shop.path("routine.json"),
        &shop.path("art/a.svg"),
        &shop.path("art"),
    );
    // A machine file without its SVG is artwork.
    std::fs::copy(shop.path("art/a.dst"), shop.path("art/c.dst")).unwrap();
    let before = files(&shop.path("art"));
    let told = shop.run(&["--notes"]);
    assert_eq!(told.code, 0, "{}", told.stderr);
    let all = [("a", "sewn"), ("b", "sewn"), ("c", "sewn")];
    assert_eq!(told.outcomes(), all);
    assert_eq!(told.artworks["a"]["artwork"], "art/a.svg");
    let left = "a run made them, with art/a.svg: a.design.json, a.dst, a.preview.svg";
    assert!(told.stderr.contains(left), "{}", told.stderr);
    assert!(files(&shop.path("art")) == before);
    // Where it would be written over, it is not taken for a product.
    let mut command = hoopwright();
    command
        .args([
            "batch",
            "routine.json",
            "art/a.svg",
            "art/a.dst",
            "--into",
            "art",
        ])
        .current_dir(&shop.folder);
    assert_eq!(command.output().unwrap().status.code(), Some(1));
    assert!(files(&shop.path("art")) == before);
}

/// Nobody's run wrote it: a customer sent it along with the drawing.
#[test]
fn a_machine_file_beside_a_drawing_is_not_left_out_by_its_name_alone() {
    let shop = Shop::new("customers");
    shop.square("a", 10);
    shop.square("b", 10);
    shop.run(&[]);
    std::fs::copy(shop.path("out/a.dst"), shop.path("art/b.dst")).unwrap();
    let told = shop.run(&["--anew"]);
    assert_eq!(told.outcomes(), [("a", "sewn"), ("b", "failed")]);
    assert_eq!(told.artworks["b"]["findings"][0]["code"], "same-name");
    // Nor does a run write over it.
    let before = std::fs::read(shop.path("art/b.dst")).unwrap();
    let mut command = hoopwright();
    command
        .args(["run", "routine.json", "art/b.svg", "--into", "art"])
        .current_dir(&shop.folder);
    let refused = command.output().unwrap();
    assert_eq!(refused.status.code(), Some(3));
    assert_eq!(std::fs::read(shop.path("art/b.dst")).unwrap(), before);
}

#[test]
fn a_broken_pipeline_is_told_once_and_nothing_runs() {
    let shop = Shop::new("pipeline");
    shop.square("a", 10);
    shop.square("b", 10);
    shop.write(
        "routine.json",
        r#"{ "steps": [{ "step": "regoin-fill" }] }"#,
    );
    let told = shop.run(&[]);
    assert_eq!(told.code, 1);
    assert_eq!(told.stderr.matches("unknown-step").count(), 1);
    assert!(told.artworks.is_empty());
    assert!(!shop.path("out").exists());
}

#[test]
fn a_list_comes_from_a_file_or_from_standard_input() {
    let shop = Shop::new("list");
    shop.square("a", 10);
    shop.square("b", 12);
    shop.square("c", 14);
    let list = "art/c.svg\r\n\nart/a.svg\n";
    shop.write("list.txt", list);
    let batch = |list: &str| {
        let mut command = hoopwright();
        command
            .args(["batch", "routine.json", "--list", list, "--into", "out"])
            .args(["--telling", "json"])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .current_dir(&shop.folder);
        command.spawn().unwrap()
    };
    let told = Told::of(batch("list.txt").wait_with_output().unwrap());
    assert_eq!(told.outcomes(), [("a", "sewn"), ("c", "sewn")]);
    assert_eq!(told.artworks["c"]["index"], 1);
    let mut child = batch("-");
    let mut input = child.stdin.take().unwrap();
    input.write_all(list.as_bytes()).unwrap();
    input.write_all(b"art/b.svg").unwrap();
    drop(input);
    let told = Told::of(child.wait_with_output().unwrap());
    let expected = [("a", "unchanged"), ("b", "sewn"), ("c", "unchanged")];
    assert_eq!(told.outcomes(), expected);
}
