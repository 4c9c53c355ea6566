//! The plugins of the cookbook, compiled to Wasm, each in the pipeline beside it.

use crate::files::{hoopwright, root, scratch};
use crate::guests;
use hoopwright::design::{Design, Object, Shape, StitchKind, StitchRole};
use hoopwright::formats::design_json;
use hoopwright_geometry::measure::distance;
use hoopwright_tests::independent_dst::{self, Kind};
use serde_json::Value;
use std::path::PathBuf;

/// What a run with a recipe gave.
struct Sewn {
    design: Design,
    machine_file: Vec<u8>,
    /// What was told, as sentences.
    told: Vec<String>,
}

/// Runs a recipe's pipeline on the cookbook's drawing; `change` may change the pipeline before.
fn sew(recipe: &str, way: &str, change: impl FnOnce(&mut Value)) -> Sewn {
    let folder = scratch().join("cookbook").join(recipe).join(way);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    let book = root().join("sdk/cookbook");
    let text = std::fs::read_to_string(book.join(recipe).join("pipeline.json")).unwrap();
    let mut pipeline: Value = serde_json::from_str(&text).unwrap();
    change(&mut pipeline);
    let file = folder.join("pipeline.json");
    std::fs::write(&file, pipeline.to_string()).unwrap();
    let output = hoopwright()
        .args(["--telling", "json", "--notes", "run"])
        .args([file, book.join("night.svg")])
        .args(["--hold-at", "never", "--into"])
        .arg(&folder)
        .arg("--plugin")
        .arg(plugin(recipe))
        .output()
        .unwrap();
    let told = String::from_utf8(output.stderr).unwrap();
    assert!(output.status.success(), "{told}");
    let file = folder.join("night.design.json");
    Sewn {
        design: design_json::read(&std::fs::read_to_string(&file).unwrap(), &file).unwrap(),
        machine_file: std::fs::read(folder.join("night.dst")).unwrap(),
        told: told
            .lines()
            .filter_map(|line| serde_json::from_str::<Value>(line).ok())
            .filter_map(|line| Some(line["message"].as_str()?.to_owned()))
            .collect(),
    }
}

/// The recipe's compiled plugin, as a file.
fn plugin(recipe: &str) -> PathBuf {
    let name = format!("hoopwright_cookbook_{}.wasm", recipe.replace('-', "_"));
    guests::cookbook().join(name)
}

/// Takes the steps of this name out of a pipeline.
fn without(step: &'static str) -> impl FnOnce(&mut Value) {
    move |pipeline| {
        let steps = pipeline["steps"].as_array_mut().unwrap();
        let before = steps.len();
        steps.retain(|other| other["step"] != step);
        assert!(steps.len() < before);
    }
}

fn object<'d>(design: &'d Design, tag: &str) -> &'d Object {
    let mut objects = design.objects.iter();
    objects
        .find(|object| object.tags.iter().any(|own| own == tag))
        .unwrap_or_else(|| panic!("an object is tagged {tag}"))
}

/// Needle points of the roles that the fills and runs make, ties left aside.
fn needles(object: &Object) -> Vec<(f64, f64)> {
    let blocks = object.stitches.iter();
    let sewn = blocks.filter(|block| {
        block.kind == StitchKind::Needle
            && matches!(block.role, StitchRole::Cover | StitchRole::Underlay)
    });
    sewn.flat_map(|block| block.x.iter().copied().zip(block.y.iter().copied()))
        .collect()
}

/// Left, top, right and bottom.
fn extent(places: &[(f64, f64)]) -> [f64; 4] {
    places.iter().fold(
        [f64::MAX, f64::MAX, f64::MIN, f64::MIN],
        |[left, top, right, bottom], &(x, y)| {
            [left.min(x), top.min(y), right.max(x), bottom.max(y)]
        },
    )
}

fn length(places: &[(f64, f64)]) -> f64 {
    let steps = places.windows(2);
    steps
        .map(|pair| distance(pair[0].into(), pair[1].into()))
        .sum()
}

#[test]
fn nudge_moves_shape_and_stitches_by_exactly_the_asked_distance() {
    let [before, after] = [
        sew("nudge", "before", without("nudge")),
        sew("nudge", "after", |_| ()),
    ];
    let [was, is] = [&before, &after].map(|sewn| object(&sewn.design, "moon"));
    assert!(needles(was).len() > 500);
    let moved = |places: Vec<(f64, f64)>| -> Vec<(f64, f64)> {
        places
            .into_iter()
            .map(|(x, y)| (x + 3.0, y - 1.5))
            .collect()
    };
    assert_eq!(needles(is), moved(needles(was)));
    let [was, is] = [was, is].map(|object| {
        let Shape::Region(region) = &object.shape else {
            panic!("the moon is a region");
        };
        let outer = &region.polygons[0].outer;
        outer
            .x
            .iter()
            .copied()
            .zip(outer.y.iter().copied())
            .collect()
    });
    assert_eq!(is, moved(was));
    let [was, is] = [&before, &after].map(|sewn| object(&sewn.design, "twig"));
    assert_eq!(needles(was), needles(is));
}

#[test]
fn the_basting_box_surrounds_the_machine_file_by_the_asked_margin() {
    let sewn = sew("basting-box", "run", |_| ());
    let box_needles = needles(object(&sewn.design, "basting")).len();
    let file = independent_dst::read(&sewn.machine_file).unwrap();
    let mut at = (0, 0);
    let mut places = Vec::new();
    for record in &file.records {
        at = (at.0 + record.dx, at.1 + record.dy);
        if record.kind == Kind::Stitch {
            // In mm, with y down.
            places.push((f64::from(at.0) / 10.0, f64::from(-at.1) / 10.0));
        }
    }
    let (first, rest) = places.split_at(box_needles);
    assert!(rest.len() > 900, "{}", rest.len());
    let [outer, inner] = [first, rest].map(extent);
    // 6 mm from the outermost thread, which reaches 0.2 mm beyond its needle points; the machine's
    // step is 0.1 mm.
    for side in 0..4 {
        let margin = (outer[side] - inner[side]).abs();
        assert!((margin - 6.2).abs() < 0.11, "{side}: {margin}");
    }
    // Every needle point of the box lies on one of its sides, and it ends where it began.
    for &(x, y) in first {
        let on_side = [(x, 0), (y, 1), (x, 2), (y, 3)]
            .iter()
            .any(|&(at, side)| (at - outer[side]).abs() < 0.01);
        assert!(on_side, "{x} {y}");
    }
    assert_eq!(first.first(), first.last());
    for pair in first.windows(2) {
        assert!((4.0..=8.15).contains(&length(pair)), "{pair:?}");
    }
    let size = |low: usize, high: usize| outer[high] - outer[low];
    let told = format!(
        "The box is {:.1} mm wide and {:.1} mm high.",
        size(0, 2),
        size(1, 3)
    );
    // The machine's steps may round the size by one.
    let said = sewn.told.iter().find(|text| text.starts_with("The box is"));
    let numbers = |text: &str| -> Vec<f64> {
        text.split(' ')
            .filter_map(|word| word.parse().ok())
            .collect()
    };
    for (said, is) in numbers(said.unwrap()).iter().zip(numbers(&told)) {
        assert!((said - is).abs() < 0.21, "{said} {is}");
    }
}

#[test]
fn the_frame_stays_clear_of_what_it_surrounds() {
    let sewn = sew("monogram-frame", "run", |_| ());
    let (moon, frame) = (object(&sewn.design, "moon"), object(&sewn.design, "frame"));
    let places: Vec<usize> = ["moon", "frame"]
        .iter()
        .map(|tag| {
            let id = &object(&sewn.design, tag).id;
            sewn.design
                .objects
                .iter()
                .position(|o| o.id == *id)
                .unwrap()
        })
        .collect();
    assert_eq!(places[0] + 1, places[1], "the frame is sewn right after");
    assert_eq!(moon.thread, frame.thread);
    // The frame keeps 3 mm from the moon's rectangle, thread included; satin adds its pull compensation
    // to the frame, up to 0.4 mm on firm cloth.
    let [left, top, right, bottom] = extent(&needles(moon));
    let satin = needles(frame);
    assert!(satin.len() > 500, "{}", satin.len());
    let mut least = f64::MAX;
    for (x, y) in satin {
        let across = (left - x).max(x - right).max(0.0);
        let down = (top - y).max(y - bottom).max(0.0);
        least = least.min(distance((across, down).into(), (0.0, 0.0).into()));
    }
    assert!((2.6..3.6).contains(&least), "{least}");
}

#[test]
fn the_sketch_is_one_thread_of_the_length_that_its_area_asks_for() {
    let sewn = sew("running-sketch", "run", |_| ());
    let moon = object(&sewn.design, "moon");
    let cuts = moon
        .stitches
        .iter()
        .filter(|block| matches!(block.kind, StitchKind::Jump | StitchKind::Stop));
    assert_eq!(cuts.count(), 0);
    let thread = length(&needles(moon));
    // A disc of 10 mm with a square of 4 mm out of it, 0.2 mm of inset all around: its edges, and lines
    // 2.5 mm apart, there and back. By integral geometry (Cauchy-Crofton) they are the area over the
    // distance long, in the mean over where they lie; so few lines stray from the mean. Each but the one
    // to the hole stops 0.6 mm short: 7 rows, of which 3 are cut in two, are 10 lines.
    let radius = 9.8;
    let edges = 2.0 * std::f64::consts::PI * radius + 4.0 * 4.4;
    let lines = (std::f64::consts::PI * radius * radius - 4.4 * 4.4) / 2.5 - 9.0 * 0.6;
    let formula = edges + 2.0 * lines;
    assert!((thread / formula - 1.0).abs() < 0.04, "{thread} {formula}");
}

/// Written out here once more, from the counts in the sewn design and the settings of the pipeline: 100
/// pieces on 6 heads, 45 an hour, 30 once; the other values are the step's defaults.
#[test]
fn the_price_is_that_of_a_hand_calculation() {
    let sewn = sew("price-estimate", "run", |_| ());
    let same = sew("price-estimate", "without", without("price-estimate"));
    assert_eq!(sewn.design, same.design);
    assert_eq!(sewn.machine_file, same.machine_file);

    let count = |kind: StitchKind| -> usize {
        let blocks = sewn.design.objects.iter().flat_map(|o| &o.stitches);
        blocks.filter(|b| b.kind == kind).map(|b| b.x.len()).sum()
    };
    let (stitches, trims) = (count(StitchKind::Needle), count(StitchKind::Trim));
    let threads: Vec<u32> = sewn.design.objects.iter().map(|o| o.thread).collect();
    let changes = threads.windows(2).filter(|pair| pair[0] != pair[1]).count();
    assert!(stitches > 1000 && changes == 2, "{stitches} {changes}");

    let piece = stitches as f64 * 60.0 / 700.0 + trims as f64 * 7.0 + changes as f64 * 15.0;
    // 100 pieces on 6 heads are 17 rounds.
    let order = 17.0 * piece + 100.0 * 120.0;
    let top = stitches as f64 * 100.0 / 1000.0 * 5.0;
    let bobbin = stitches as f64 * 100.0 / 1000.0 * 3.0;
    let price = order / 3600.0 * 45.0 + (top + bobbin) / 1000.0 * 2.0 + 30.0;
    let told = |beginning: &str| {
        let mut told = sewn.told.iter();
        told.find(|text| text.starts_with(beginning))
            .cloned()
            .unwrap_or_default()
    };
    assert!(
        told("A piece has").starts_with(&format!(
            "A piece has {stitches} stitches, {trims} trims and 2 colour changes: "
        )),
        "{:?}",
        sewn.told
    );
    assert!(told("100 pieces").ends_with(&format!(
        "{top:.1} m of top thread and {bobbin:.1} m of bobbin thread."
    )));
    assert_eq!(
        told("Price of"),
        format!(
            "Price of 100 pieces: {price:.2} EUR, which is {:.2} EUR a piece.",
            price / 100.0
        )
    );
}

#[test]
fn settings_out_of_range_are_told_before_anything_runs() {
    let file = scratch().join("cookbook-wrong.json");
    let wrong = r#"{ "steps": [{ "step": "nudge", "settings": { "right": 501, "donw": 1 } }] }"#;
    std::fs::write(&file, wrong).unwrap();
    let output = hoopwright()
        .arg("check")
        .arg(&file)
        .arg("--plugin")
        .arg(plugin("nudge"))
        .output()
        .unwrap();
    let told = String::from_utf8(output.stderr).unwrap();
    assert!(!output.status.success());
    assert!(told.contains("501") && told.contains("donw"), "{told}");
}
