//! What becomes of each artwork: sewn, unchanged, failed, not written.

use super::shop::{RECORD, Shop, files};
use crate::files::hoopwright;
use crate::guests;

#[test]
fn a_bad_artwork_never_stops_the_others() {
    let shop = Shop::new("bad");
    shop.square("a", 10);
    shop.write("art/b.svg", "<svg");
    shop.write("art/c.dst", "no machine file");
    std::fs::create_dir(shop.path("art/not-entered")).unwrap();
    shop.square("d", 12);
    shop.write("art/notes.txt", "call them on Monday");
    let told = shop.run(&["art/gone.svg", "--notes"]);
    assert_eq!(told.code, 1, "{}", told.stderr);
    assert_eq!(
        told.outcomes(),
        [
            ("a", "sewn"),
            ("b", "failed"),
            ("c", "failed"),
            ("d", "sewn"),
            ("gone", "failed")
        ]
    );
    assert_eq!(told.totals["artworks"], 5);
    assert_eq!(told.totals["failed"], 3);
    assert!(told.stderr.contains("notes.txt"), "{}", told.stderr);
    for (name, index) in [("a", 1), ("b", 2), ("c", 3), ("d", 4), ("gone", 5)] {
        assert_eq!(told.artworks[name]["index"], index);
    }
    let why = &told.artworks["b"]["findings"][0];
    assert_eq!(
        (&why["severity"], &why["line"]),
        (&"error".into(), &1.into())
    );
    // What is written is what a run by itself writes, and it is listed.
    let alone = shop.path("alone");
    crate::files::sew(&shop.path("routine.json"), &shop.path("art/a.svg"), &alone);
    let written = shop.written();
    for (name, bytes) in files(&alone) {
        // The report names the artwork as it was given.
        if name != "a.report.json" {
            assert!(written[&name] == bytes, "{name}");
        }
    }
    let listed = told.artworks["a"]["files"].as_array().unwrap();
    let of_a = written.keys().filter(|name| name.starts_with("a."));
    assert_eq!(listed.len(), of_a.count());
    assert!(!written.keys().any(|name| name.starts_with("b.")));
}

#[test]
fn what_is_done_and_unchanged_is_not_done_again() {
    let shop = Shop::new("again");
    for (name, side) in [("a", 10), ("b", 12), ("c", 14)] {
        shop.square(name, side);
    }
    let all = |outcome| [("a", outcome), ("b", outcome), ("c", outcome)];
    let first = shop.run(&[]);
    assert_eq!((first.code, first.outcomes()), (0, all("sewn").to_vec()));
    let written = shop.written();
    let second = shop.run(&[]);
    assert_eq!(second.outcomes(), all("unchanged"));
    for name in ["a", "b", "c"] {
        assert_eq!(
            first.artworks[name]["stitches"],
            second.artworks[name]["stitches"]
        );
        assert_eq!(
            first.artworks[name]["files"],
            second.artworks[name]["files"]
        );
    }
    assert_eq!(first.totals["seconds"], second.totals["seconds"]);

    // One artwork changed, one product gone, one damaged.
    shop.square("a", 11);
    std::fs::remove_file(shop.path("out/b.dst")).unwrap();
    let told = shop.run(&[]);
    let expected = [("a", "sewn"), ("b", "sewn"), ("c", "unchanged")];
    assert_eq!(told.outcomes(), expected);
    shop.write("out/c.preview.svg", "scribbled over");
    assert_eq!(shop.run(&[]).outcome("c"), "sewn");
    assert!(shop.written()["c.preview.svg"] == written["c.preview.svg"]);

    // Another layout of the same pipeline is the same; another setting, rack or limit is not.
    let routine = std::fs::read_to_string(shop.path("routine.json")).unwrap();
    shop.write("routine.json", &format!("\n{routine}\n"));
    assert_eq!(shop.run(&[]).outcomes(), all("unchanged"));
    shop.routine(0.5);
    assert_eq!(shop.run(&[]).outcomes(), all("sewn"));
    let rack = std::fs::read_to_string(shop.path("rack.json")).unwrap();
    shop.write("rack.json", &rack.replace("Barn", "Hay"));
    assert_eq!(shop.run(&[]).outcomes(), all("sewn"));
    assert_eq!(shop.run(&[]).outcomes(), all("unchanged"));
    assert_eq!(shop.run(&["--anew"]).outcomes(), all("sewn"));
    let limits = ["--work-limit", "49999"];
    assert_eq!(shop.run(&limits).outcomes(), all("sewn"));

    // A record that cannot be used costs the work, and nothing else.
    shop.write(&format!("out/{RECORD}"), "{ half");
    let told = shop.run(&[]);
    assert_eq!((told.code, told.outcomes()), (0, all("sewn").to_vec()));
    assert!(told.stderr.contains("record-unusable"), "{}", told.stderr);
    assert_eq!(shop.run(&[]).outcomes(), all("unchanged"));
}

/// A part is as much of the routine as the rest: what it does counts, how it is laid out does not.
#[test]
fn a_part_that_changed_is_sewn_anew() {
    let shop = Shop::new("part");
    shop.square("a", 10);
    let part = |default: f64| {
        format!(
            r#"{{ "takes": {{ "density": {{ "type": "number", "default": {default} }} }},
                 "steps": [ {{ "step": "region-fill", "settings": {{ "density": {{ "taken": "density" }} }} }} ] }}"#
        )
    };
    let routine = |entry: &str| {
        let text = format!(r#"{{ "steps": [ {entry}, {{ "step": "ties-and-trims" }} ] }}"#);
        shop.write("routine.json", &text);
    };
    shop.write("fill.json", &part(0.4));
    routine(r#"{ "part": "fill.json" }"#);
    assert_eq!(shop.run(&[]).outcome("a"), "sewn");
    assert_eq!(shop.run(&[]).outcome("a"), "unchanged");
    shop.write("fill.json", &format!("\n{}\n", part(0.4)));
    assert_eq!(shop.run(&[]).outcome("a"), "unchanged");
    shop.write("fill.json", &part(0.5));
    assert_eq!(shop.run(&[]).outcome("a"), "sewn");
    routine(r#"{ "part": "fill.json", "settings": { "density": 0.6 } }"#);
    assert_eq!(shop.run(&[]).outcome("a"), "sewn");
    // The default is not used now.
    shop.write("fill.json", &part(0.4));
    assert_eq!(shop.run(&[]).outcome("a"), "unchanged");
    routine(
        r#"{ "part": "fill.json", "on": { "shape": "region" }, "settings": { "density": 0.6 } }"#,
    );
    assert_eq!(shop.run(&[]).outcome("a"), "sewn");
}

/// The files of an earlier run stay, and it is said that they are not of this artwork.
#[test]
fn outdated_products_of_a_broken_artwork_are_pointed_out() {
    let shop = Shop::new("outdated");
    shop.square("a", 10);
    assert_eq!(shop.run(&[]).code, 0);
    let before = shop.written();
    shop.write("art/a.svg", "<svg");
    let told = shop.run(&[]);
    assert_eq!((told.code, told.outcome("a")), (1, "failed"));
    assert!(
        told.artworks["a"]["findings"]
            .to_string()
            .contains("outdated")
    );
    assert!(shop.written() == before);
    shop.square("a", 10);
    assert_eq!(shop.run(&[]).outcome("a"), "unchanged");
}

#[test]
fn a_plugin_that_traps_fails_only_the_artworks_it_traps_on() {
    let shop = Shop::new("trap");
    std::fs::write(shop.path("hostile.wasm"), guests::hostile()).unwrap();
    shop.write(
        "routine.json",
        r#"{ "steps": [
            { "step": "hostile", "on": { "tag": "bad" }, "settings": { "deed": "panic" } },
            { "step": "region-fill" }, { "step": "ties-and-trims" } ] }"#,
    );
    let hostile = std::process::Command::new(env!("CARGO_BIN_EXE_hoopwright"))
        .args(["steps", "--plugin", "hostile.wasm"])
        .current_dir(&shop.folder)
        .output()
        .unwrap();
    assert!(String::from_utf8_lossy(&hostile.stdout).contains("hostile"));
    for name in ["a", "b", "c"] {
        shop.square(name, 10);
    }
    let b = std::fs::read_to_string(shop.path("art/b.svg")).unwrap();
    shop.write("art/b.svg", &b.replace("id=\"box\"", "id=\"bad\""));
    let told = shop.run(&["--plugin", "hostile.wasm"]);
    assert_eq!(told.code, 1, "{}", told.stderr);
    let expected = [("a", "sewn"), ("b", "failed"), ("c", "sewn")];
    assert_eq!(told.outcomes(), expected);
    let why = told.artworks["b"]["findings"].to_string();
    assert!(why.contains("the needle of this step is bent"), "{why}");
}

#[test]
fn a_product_that_cannot_be_written_is_its_artwork_s_own_trouble() {
    let shop = Shop::new("unwritable");
    shop.square("a", 10);
    shop.square("b", 12);
    std::fs::create_dir_all(shop.path("out/a.preview.svg")).unwrap();
    let told = shop.run(&[]);
    assert_eq!(told.code, 3, "{}", told.stderr);
    assert_eq!(told.outcomes(), [("a", "not-written"), ("b", "sewn")]);
    let written = shop.written();
    assert!(!written.contains_key("a.dst"), "none of a's products");
    assert!(written.contains_key("b.dst"));
    // The next run tries again.
    std::fs::remove_dir(shop.path("out/a.preview.svg")).unwrap();
    let told = shop.run(&[]);
    assert_eq!(told.outcomes(), [("a", "sewn"), ("b", "unchanged")]);
}

#[test]
fn artwork_is_never_written_over() {
    let shop = Shop::new("over");
    shop.square("a", 10);
    assert_eq!(shop.run(&[]).code, 0);
    let dst = std::fs::read(shop.path("out/a.dst")).unwrap();
    let mut command = hoopwright();
    command
        .args(["batch", "routine.json", "out/a.dst", "--into", "out"])
        .current_dir(&shop.folder);
    let output = command.output().unwrap();
    let words = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(3), "{words}");
    assert!(words.contains("is artwork of this batch"), "{words}");
    assert!(std::fs::read(shop.path("out/a.dst")).unwrap() == dst);
}

/// Nothing can be made in `/proc`, not even by the superuser.
#[cfg(target_os = "linux")]
#[test]
fn a_folder_that_cannot_be_written_into_is_told_before_anything_runs() {
    let shop = Shop::new("read-only");
    shop.square("a", 10);
    for (into, words_told) in [
        ("/proc/out", "/proc/out cannot be written into"),
        ("rack.json", "rack.json is a file, not a folder"),
    ] {
        let mut command = hoopwright();
        command
            .args(["batch", "routine.json", "art", "--into", into])
            .current_dir(&shop.folder);
        let output = command.output().unwrap();
        let words = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(3), "{words}");
        assert!(words.contains(words_told), "{words}");
        assert!(output.stdout.is_empty());
    }
}
