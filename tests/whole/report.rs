//! The judgement of files: what is told, what holds a file back, and how long it takes.

use crate::files::{hoopwright, root, scratch};
use crate::owl::sewn;
use hoopwright::design::{Design, Object, Shape, StitchList, StitchRole, Thread};
use hoopwright::formats::dst::{Machine, Route};
use hoopwright::report::{Fabric, Measure, judge};
use serde_json::Value;
use std::path::Path;
use std::process::Output;
use std::time::Instant;

fn report(file: &Path, options: &[&str]) -> Output {
    hoopwright()
        .arg("report")
        .arg(file)
        .arg("--machine")
        .arg(root().join("demo-pipelines/machine.json"))
        .args(options)
        .output()
        .unwrap()
}

/// The owl's judgement, word for word.
#[test]
fn the_owl_s_report() {
    let output = report(&sewn().folder.join("owl.design.json"), &[]);
    assert_eq!(output.status.code(), Some(0));
    insta::assert_snapshot!(String::from_utf8(output.stdout).unwrap());
}

/// A machine file tells neither roles nor shapes nor threads: every measure is there, taken or with
/// the reason why not.
#[test]
fn a_machine_file_says_what_could_not_be_taken() {
    let output = report(
        &sewn().folder.join("owl.dst"),
        &["--json", "--hold-at", "never"],
    );
    let judged: Value = serde_json::from_slice(&output.stdout).unwrap();
    let measures = judged["measures"].as_array().unwrap();
    assert_eq!(measures.len(), Measure::ALL.len());
    let not: Vec<&str> = measures
        .iter()
        .filter(|measured| measured["value"].is_null())
        .map(|measured| {
            assert!(
                measured["remark"]
                    .as_str()
                    .is_some_and(|why| why.len() > 20)
            );
            measured["measure"].as_str().unwrap()
        })
        .collect();
    let expected = [
        "extra-ties",
        "gaps",
        "outline-wait",
        "extra-trims",
        "spare-needles",
    ];
    assert_eq!(not, expected);
}

/// The part of the run's report and the command say the same, and both fit the schema.
#[test]
fn the_report_fits_its_schema() {
    let output = hoopwright().args(["schema", "report"]).output().unwrap();
    let schema: Value = serde_json::from_slice(&output.stdout).unwrap();
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    let text = std::fs::read_to_string(sewn().folder.join("owl.report.json")).unwrap();
    let of_run: Value = serde_json::from_str(&text).unwrap();
    let output = report(&sewn().folder.join("owl.design.json"), &["--json"]);
    let of_command: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert!(validator.is_valid(&of_command));
    assert_eq!(of_run["judgement"], of_command);
}

#[test]
fn findings_at_or_above_the_severity_hold_the_file_back() {
    let folder = scratch().join("owl-held");
    let _ = std::fs::remove_dir_all(&folder);
    let run = |hold_at: &str| {
        hoopwright()
            .arg("run")
            .arg(root().join("demo-pipelines/owl/owl.json"))
            .arg(root().join("demo-pipelines/owl/owl.svg"))
            .args(["--hold-at", hold_at, "--into"])
            .arg(&folder)
            .output()
            .unwrap()
    };
    let held = run("warning");
    assert_eq!(held.status.code(), Some(4));
    assert!(!folder.exists(), "nothing is written");
    let told = String::from_utf8_lossy(&held.stderr).into_owned();
    assert!(told.contains("nothing was written, because of"), "{told}");
    let file = sewn().folder.join("owl.design.json");
    for (hold_at, fabric, code) in [
        ("note", "woven", 4),
        ("warning", "woven", 4),
        ("error", "woven", 0),
        ("never", "terry", 0),
    ] {
        let output = report(&file, &["--hold-at", hold_at, "--fabric", fabric]);
        assert_eq!(output.status.code(), Some(code), "{hold_at}");
    }
}

/// The profile beside the demo keeps its own schema.
#[test]
fn the_demo_s_machine_fits_its_schema() {
    let output = hoopwright().args(["schema", "machine"]).output().unwrap();
    let committed = std::fs::read(root().join("demo-pipelines/machine.schema.json")).unwrap();
    assert!(
        committed == output.stdout,
        "write it anew: hoopwright schema machine --to demo-pipelines/machine.schema.json"
    );
    let schema: Value = serde_json::from_slice(&output.stdout).unwrap();
    let text = std::fs::read_to_string(root().join("demo-pipelines/machine.json")).unwrap();
    let profile: Value = serde_json::from_str(&text).unwrap();
    assert!(jsonschema::draft202012::is_valid(&schema, &profile));
}

/// Squares of 20 mm in rows of 4 mm stitches, 0.2 mm apart, side by side: 600 stitches each.
fn squares(count: usize) -> Design {
    let across = (count as f64).sqrt().ceil() as usize;
    let square = |number: usize| {
        let (left, top) = (
            25.0 * (number % across) as f64,
            25.0 * (number / across) as f64,
        );
        let mut list = StitchList::new();
        list.trim(geo::coord! { x: left, y: top });
        for row in 0..100u32 {
            for stitch in 0..=5u32 {
                let along = if row % 2 == 0 { stitch } else { 5 - stitch };
                let at = geo::coord! {
                    x: left + 4.0 * f64::from(along),
                    y: top + 0.1 + 0.2 * f64::from(row),
                };
                list.needle(StitchRole::Cover, at);
            }
        }
        let rect = geo::Rect::new(
            geo::coord! { x: left, y: top },
            geo::coord! { x: left + 20.0, y: top + 20.0 },
        );
        let area = geo::MultiPolygon::new(vec![rect.to_polygon()]);
        let mut object = Object::of_region(&format!("square-{number}"), &area);
        assert!(matches!(object.shape, Shape::Region(_)));
        object.stitches = list.into_blocks();
        object
    };
    let size = 25.0 * across as f64;
    let mut design = Design::on_page(size, size, (0..count).map(square).collect());
    design.threads.push(Thread {
        name: "tan".to_owned(),
        code: String::new(),
        red: 200,
        green: 150,
        blue: 90,
        weight: 40,
    });
    design
}

/// Prints how long the judgement takes as designs grow; nothing depends on the times.
#[test]
#[ignore = "prints times; .ci/run runs it"]
fn the_time_of_a_judgement_as_designs_grow() {
    let machine = Machine::default();
    let mut before: Option<(f64, f64)> = None;
    for count in [17, 167, 1667] {
        let design = squares(count);
        let (route, _) = Route::plan(&design, &machine).unwrap();
        let stitches = route.stitches() as f64;
        let mut best = f64::INFINITY;
        for _ in 0..3 {
            let begun = Instant::now();
            let report = judge(&design, &route, &machine, Fabric::Woven);
            best = best.min(begun.elapsed().as_secs_f64());
            let heaps = report
                .measures
                .iter()
                .find(|measured| measured.measure == Measure::ThreadHeaps);
            let most = heaps.and_then(|measured| measured.value).unwrap();
            // One full layer is 5 mm per mm2; the steps from row to row come on top.
            assert!((5.0..6.0).contains(&most), "{most}");
        }
        let exponent = before.map_or(String::new(), |(fewer, less)| {
            let exponent = (best / less).ln() / (stitches / fewer).ln();
            format!(", grows with the power {exponent:.2}")
        });
        println!("{stitches} stitches: {best:.3} s{exponent}");
        before = Some((stitches, best));
    }
}
