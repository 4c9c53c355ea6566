//! The library's examples, run as they stand in `host/examples`.

use crate::files::{root, scratch};
use crate::guests;
use hoopwright::artwork::{Asked, Readers};
use hoopwright::design::{Design, StitchKind};
use hoopwright::diagnostics::Failed;
use hoopwright::formats::design_json;
use hoopwright::formats::dst::{self, Machine};
use hoopwright::pipeline::Size;
use std::path::{Path, PathBuf};

#[path = "../../host/examples/a_reader_of_your_own.rs"]
#[allow(
    dead_code,
    reason = "the command line of an example is its reader's to try"
)]
mod a_reader_of_your_own;
#[path = "../../host/examples/a_writer_of_your_own.rs"]
#[allow(
    dead_code,
    reason = "the command line of an example is its reader's to try"
)]
mod a_writer_of_your_own;
#[path = "../../host/examples/embed.rs"]
#[allow(
    dead_code,
    reason = "the command line of an example is its reader's to try"
)]
mod embed;
#[path = "../../host/examples/run_a_pipeline.rs"]
#[allow(
    dead_code,
    reason = "the command line of an example is its reader's to try"
)]
mod run_a_pipeline;

/// A folder with a small drawing and a routine for it.
fn folder(name: &str, routine: &str) -> PathBuf {
    let folder = scratch().join("examples").join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join("routine.json"), routine).unwrap();
    std::fs::write(
        folder.join("leaf.svg"),
        r##"<svg xmlns="http://www.w3.org/2000/svg" width="30mm" height="30mm" viewBox="0 0 30 30">
            <path id="leaf" fill="#6c8f5e" d="M5 15 Q15 5 25 15 Q15 25 5 15"/></svg>"##,
    )
    .unwrap();
    folder
}

const FILL: &str = r#"{ "steps": [ { "step": "region-fill" }, { "step": "ties-and-trims" } ] }"#;

/// The example gives what the command gives.
#[test]
fn a_pipeline_run_from_the_library_gives_what_the_command_writes() {
    let owl = |name: &str| root().join("demo-pipelines/owl").join(name);
    let into = folder("owl", FILL).join("out");
    let files = run_a_pipeline::sew(&owl("owl.json"), &owl("owl.svg"), &into).unwrap();
    let command = crate::owl::sewn();
    assert_eq!(
        files.len(),
        std::fs::read_dir(&command.folder).unwrap().count()
    );
    for file in files {
        let name = file.file_name().unwrap();
        // The report names the artwork by its path, which is the same here.
        let other = std::fs::read(command.folder.join(name)).unwrap();
        assert!(std::fs::read(&file).unwrap() == other, "{name:?}");
    }
}

/// What the table says is what the machine file holds, to the machine's own step of 0.1 mm.
#[test]
fn needle_points_of_a_table_reach_the_machine_file() {
    let folder = folder("reader", FILL);
    let table = folder.join("leaf.points.csv");
    std::fs::write(
        &table,
        "#5a4632, 10, 20\n#5a4632, 12.5, 20\n#5a4632, 15, 21\n\n#f2dfa6, 15, 30\n#f2dfa6, 18, 30\n",
    )
    .unwrap();
    let bytes = a_reader_of_your_own::machine_file(&table).unwrap();
    let (sewn, _) = dst::read_for(&bytes, Path::new("leaf.dst"), &Machine::default()).unwrap();
    let points = needle_points(&sewn);
    // A machine file tells places from its start; the first point is one of them.
    let (x, y) = points[0];
    for [across, down] in [[0.0, 0.0], [2.5, 0.0], [5.0, 1.0], [5.0, 10.0], [8.0, 10.0]] {
        let there = |&(px, py): &(f64, f64)| {
            (px - x - across).abs() < 0.051 && (py - y - down).abs() < 0.051
        };
        assert!(points.iter().any(there), "{across} {down}: {points:?}");
    }
    assert_eq!(sewn.objects.len(), 2, "one object a colour");
}

fn needle_points(design: &Design) -> Vec<(f64, f64)> {
    let blocks = design.objects.iter().flat_map(|object| &object.stitches);
    blocks
        .filter(|block| block.kind == StitchKind::Needle)
        .flat_map(|block| block.x.iter().copied().zip(block.y.iter().copied()))
        .collect()
}

/// A reader's own problems are told like all others, and what it makes is checked.
#[test]
fn mistakes_in_a_table_are_told_with_their_lines() {
    let folder = folder("reader-mistakes", FILL);
    let readers = Readers::stock().with(a_reader_of_your_own::NeedlePoints);
    let machine = Machine::default();
    let read = |text: &str| {
        let table = folder.join("bad.points.csv");
        std::fs::write(&table, text).unwrap();
        let asked = Asked {
            size: Size {
                width: Some(50.0),
                ..Size::default()
            },
            machine: &machine,
        };
        readers.read(&table, &asked)
    };
    let Failed(found) = read("#5a4632, 1, 2\nbrownish, 1, 2\n\n#5a4632, 1\n").unwrap_err();
    let lines: Vec<_> = found.iter().map(|one| one.line).collect();
    assert_eq!(lines, [Some(2), Some(4)]);
    let Failed(found) = read("#5a4632, 1e300, 2\n").unwrap_err();
    assert_eq!(found[0].code, "unsound-design");
    assert!(found[0].file.as_ref().unwrap().ends_with("bad.points.csv"));
    // Needle points have no size to change.
    let artwork = read("#5a4632, 1, 2\n").unwrap();
    assert_eq!(artwork.findings[0].code, "size-kept");
    assert!(
        artwork.design().objects[0]
            .tags
            .contains(&"#5a4632".to_owned())
    );
}

#[test]
fn a_product_of_one_s_own_is_written_with_the_rest() {
    let folder = folder("writer", FILL);
    let at = |name: &str| folder.join(name);
    let files =
        a_writer_of_your_own::sew(&at("routine.json"), &at("leaf.svg"), &at("out")).unwrap();
    assert!(files.contains(&at("out/leaf.stitches.csv")) && files.contains(&at("out/leaf.dst")));
    let table = std::fs::read_to_string(at("out/leaf.stitches.csv")).unwrap();
    let text = std::fs::read_to_string(at("out/leaf.design.json")).unwrap();
    let design = design_json::read(&text, Path::new("leaf.design.json")).unwrap();
    let stitches: usize = design
        .objects
        .iter()
        .map(|object| object.stitch_count())
        .sum();
    assert_eq!(table.lines().count(), 1 + stitches);
    assert!(
        stitches > 100 && table.lines().nth(1).unwrap().starts_with("leaf,needle,"),
        "{table}"
    );
}

#[test]
fn what_is_embedded_goes_on_after_a_bad_artwork_and_a_bad_step() {
    let routine = r#"{ "steps": [ { "step": "region-fill" },
        { "step": "hostile", "on": { "tag": "bad" }, "settings": { "deed": "panic" } },
        { "step": "ties-and-trims" } ] }"#;
    let folder = folder("embed", routine);
    let at = |name: &str| folder.join(name);
    std::fs::write(at("hostile.wasm"), guests::hostile()).unwrap();
    let leaf = std::fs::read_to_string(at("leaf.svg")).unwrap();
    std::fs::write(at("bad.svg"), leaf.replace("id=\"leaf\"", "id=\"bad\"")).unwrap();
    let artworks = ["bad.svg", "gone.svg", "leaf.svg"].map(at);
    let embed::Done { told, steps } = embed::sew_all(
        &at("routine.json"),
        &artworks,
        &[at("hostile.wasm").to_str().unwrap().parse().unwrap()],
    )
    .unwrap();
    let words: Vec<String> = told
        .iter()
        .map(|told| told.as_ref().map_or_else(ToString::to_string, Clone::clone))
        .collect();
    assert!(
        words[0].contains("the needle of this step is bent"),
        "{words:?}"
    );
    assert!(words[1].contains("cannot be read"), "{words:?}");
    assert!(
        told[2].is_ok() && words[2].contains("stitches"),
        "{words:?}"
    );
    let ran = |label: &str, objects| (label.to_owned(), objects);
    assert_eq!(
        steps,
        [
            ran("1 (region-fill)", 1),
            ran("2 (hostile)", 1),
            ran("1 (region-fill)", 1),
            ran("2 (hostile)", 0),
            ran("3 (ties-and-trims)", 1),
        ]
    );
}
