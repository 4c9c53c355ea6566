//! Steps written in other languages, against the contract alone: they run in the sandbox as it is.
//!
//! `tests/other-languages/*/build.sh` makes them, in the target folder; `.ci/run` runs both.

use crate::files::{hoopwright, root, scratch};
use hoopwright::design::{
    Lines, Object, Point, Polyline, Region, Shape, StitchBlock, StitchKind, StitchRole, Thread,
};
use hoopwright::formats::design_json;
use hoopwright::plugins::Origin;
use hoopwright::sandbox::{CallError, Kind, Limits, Log, Plugin, Sandbox};
use std::path::{Path, PathBuf};
use std::sync::OnceLock;
use std::time::Instant;

/// A plugin that a recipe has made.
fn file(language: &str, name: &str) -> PathBuf {
    let target = scratch();
    let target = target.parent().unwrap();
    let file = target.join("other-languages").join(language).join(name);
    assert!(
        file.is_file(),
        "run `tests/other-languages/{language}/build.sh {}` first",
        file.parent().unwrap().display()
    );
    file
}

/// A plugin in the sandbox with its usual limits.
type Loaded = (Sandbox, Plugin);

fn load(file: &Path) -> Loaded {
    let sandbox = Sandbox::new(Limits::default(), None).unwrap();
    let bytes = std::fs::read(file).unwrap();
    let begin = Instant::now();
    let plugin = Plugin::load(&sandbox, &bytes, Origin::File(file.to_owned()))
        .unwrap_or_else(|refused| panic!("{}", refused.message));
    println!(
        "{}: {} bytes, compiled in {:?}",
        plugin.name,
        bytes.len(),
        begin.elapsed()
    );
    assert_eq!(plugin.kind, Kind::Object);
    (sandbox, plugin)
}

/// The step in C, compiled once.
fn bean_stitch() -> &'static Loaded {
    static LOADED: OnceLock<Loaded> = OnceLock::new();
    LOADED.get_or_init(|| load(&file("c", "bean-stitch.wasm")))
}

/// The step in JavaScript, compiled once: its engine takes seconds.
fn motif_line() -> &'static Loaded {
    static LOADED: OnceLock<Loaded> = OnceLock::new();
    LOADED.get_or_init(|| load(&file("javascript", "motif-line.wasm")))
}

fn thread() -> Thread {
    Thread {
        name: "Soot".into(),
        code: "S".into(),
        red: 0,
        green: 0,
        blue: 0,
        weight: 40,
    }
}

fn call(plugin: &Loaded, object: &Object, settings: &str) -> (Object, Log) {
    let (sandbox, plugin) = plugin;
    assert!(
        plugin
            .validator
            .is_valid(&serde_json::from_str(settings).unwrap())
    );
    let answer = sandbox
        .call_object(plugin, object, &thread(), settings)
        .unwrap();
    (answer.value, answer.log)
}

/// What one call costs in time, for the record: see DEVELOPERS.md.
fn tell_cost(plugin: &Loaded, object: &Object) {
    let begin = Instant::now();
    for _ in 0..20 {
        call(plugin, object, "{}");
    }
    println!("{}: {:?} a call", plugin.1.name, begin.elapsed() / 20);
}

fn line(corners: &[(f64, f64)], closed: bool) -> Polyline {
    Polyline {
        x: corners.iter().map(|corner| corner.0).collect(),
        y: corners.iter().map(|corner| corner.1).collect(),
        closed,
    }
}

fn lines(paths: Vec<Polyline>) -> Object {
    Object {
        tags: vec!["twig".into(), "Ästchen".into()],
        ..Object::new("twig-1", Shape::Lines(Lines { paths, width: 0.4 }))
    }
}

fn block(kind: StitchKind, role: StitchRole, places: &[(f64, f64)]) -> StitchBlock {
    StitchBlock {
        kind,
        role,
        x: places.iter().map(|place| place.0).collect(),
        y: places.iter().map(|place| place.1).collect(),
    }
}

/// Everything that an object can carry, so that all of it goes there and back.
fn full() -> Object {
    let mut object = lines(vec![line(&[(0.0, 0.0), (3.0, 4.0)], false)]);
    object.sewing.angle = Some(-12.5);
    object.sewing.density = Some(0.4);
    object.sewing.start = Some(Point { x: 1.0, y: 2.0 });
    object.sewing.direction_marks = vec![hoopwright::design::DirectionMark {
        tail: Point { x: 0.1, y: 0.2 },
        head: Point { x: 0.3, y: 0.4 },
    }];
    object.stitches = vec![
        block(
            StitchKind::Needle,
            StitchRole::Underlay,
            &[(9.0, 9.0), (7.0, 9.0)],
        ),
        block(
            StitchKind::Needle,
            StitchRole::Cover,
            &[(0.0, 0.0), (3.0, 0.0), (3.5, 0.0), (3.5, 2.0)],
        ),
        block(StitchKind::Trim, StitchRole::Travel, &[(8.0, 8.0)]),
        block(StitchKind::Needle, StitchRole::Cover, &[(8.0, 8.0)]),
    ];
    object
}

/// By hand: 3 mm are sewn three times, half a mm once, 2 mm three times. All else stays.
#[test]
#[ignore = "needs clang: tests/other-languages/c/build.sh"]
fn a_step_in_c_gives_what_is_reckoned_by_hand() {
    let plugin = bean_stitch();
    assert_eq!(plugin.1.name, "bean-stitch");
    let before = full();
    let (after, log) = call(plugin, &before, "{}");
    let mut wanted = before.clone();
    wanted.stitches[1] = block(
        StitchKind::Needle,
        StitchRole::Cover,
        &[
            (0.0, 0.0),
            (3.0, 0.0),
            (0.0, 0.0),
            (3.0, 0.0),
            (3.5, 0.0),
            (3.5, 2.0),
            (3.5, 0.0),
            (3.5, 2.0),
        ],
    );
    assert_eq!(after, wanted);
    assert!(log.findings.is_empty());

    let (after, _) = call(plugin, &before, r#"{"passes":5,"shortest":2.5}"#);
    assert_eq!(
        after.stitches[1].x,
        [0.0, 3.0, 0.0, 3.0, 0.0, 3.0, 3.5, 3.5]
    );
    let (after, _) = call(plugin, &before, r#"{"shortest": 3e-1}"#);
    assert_eq!(after.stitches[1].x.len(), 10);
    tell_cost(plugin, &before);
}

/// What the C step does, in Rust.
fn bean(places: &[(f64, f64)], passes: usize, shortest: f64) -> Vec<(f64, f64)> {
    let mut sewn = vec![places[0]];
    for pair in places.windows(2) {
        let (across, down) = (pair[1].0 - pair[0].0, pair[1].1 - pair[0].1);
        let is_long = across * across + down * down >= shortest * shortest;
        for pass in 0..if is_long { passes } else { 1 } {
            sewn.push(pair[usize::from(pass % 2 == 0)]);
        }
    }
    sewn
}

#[test]
#[ignore = "needs clang: tests/other-languages/c/build.sh"]
fn a_step_in_c_takes_large_objects_and_gives_what_its_twin_gives() {
    let plugin = bean_stitch();
    let places: Vec<(f64, f64)> = (0..100_000)
        .map(|i| {
            let i = f64::from(i);
            ((i * 0.37) % 90.0, (i * 0.11) % 70.0)
        })
        .collect();
    let mut object = Object::new("large", Shape::Region(Region { polygons: vec![] }));
    object.stitches = vec![block(StitchKind::Needle, StitchRole::Cover, &places)];
    let (after, _) = call(plugin, &object, r#"{"passes":7}"#);
    let twin = bean(&places, 7, 1.0);
    assert_eq!(
        after.stitches,
        [block(StitchKind::Needle, StitchRole::Cover, &twin)]
    );
}

#[test]
#[ignore = "needs clang: tests/other-languages/c/build.sh"]
fn a_step_in_c_reports_findings() {
    let plugin = bean_stitch();
    let bare = lines(vec![line(&[(0.0, 0.0), (3.0, 4.0)], false)]);
    let (after, log) = call(plugin, &bare, "{}");
    assert_eq!(after, bare);
    let [finding] = &log.findings[..] else {
        panic!("one finding");
    };
    assert_eq!(finding.object.as_deref(), Some("twig-1"));
    assert_eq!(
        finding.help.as_deref(),
        Some("Run this step after line-run.")
    );
    assert_eq!(finding.place, None);
}

/// A level line of 9 mm takes two motifs of 4 mm, drawn out to 4.5 mm; peaks stand 2 mm above it, which is
/// less y. By hand.
#[test]
#[ignore = "needs node: tests/other-languages/javascript/build.sh"]
fn a_step_in_javascript_gives_what_is_reckoned_by_hand() {
    let plugin = motif_line();
    assert_eq!(plugin.1.name, "motif-line");
    let mut before = full();
    before.shape = lines(vec![line(&[(1.0, 5.0), (10.0, 5.0)], false)]).shape;
    let (after, log) = call(plugin, &before, "{}");
    let mut wanted = before.clone();
    wanted.stitches = vec![block(
        StitchKind::Needle,
        StitchRole::Cover,
        &[
            (1.0, 5.0),
            (2.125, 3.0),
            (3.25, 5.0),
            (6.625, 3.0),
            (7.75, 5.0),
            (10.0, 5.0),
        ],
    )];
    assert_eq!(after, wanted);
    assert!(log.findings.is_empty());
    assert_eq!(log.lines.len(), 1);
    tell_cost(plugin, &before);
}

/// What the JavaScript step does to one path, in Rust.
fn motifs(path: &Polyline, repeat: f64, height: f64, motif: &[(f64, f64)]) -> Vec<(f64, f64)> {
    struct Step {
        from: (f64, f64),
        way: (f64, f64),
        begin: f64,
    }
    let mut corners: Vec<(f64, f64)> = path.x.iter().copied().zip(path.y.iter().copied()).collect();
    if path.closed {
        corners.push(corners[0]);
    }
    let mut steps = Vec::new();
    let mut length = 0.0;
    for pair in corners.windows(2) {
        let (dx, dy) = (pair[1].0 - pair[0].0, pair[1].1 - pair[0].1);
        let step = (dx * dx + dy * dy).sqrt();
        if step > 0.0 {
            steps.push(Step {
                from: pair[0],
                way: (dx / step, dy / step),
                begin: length,
            });
            length += step;
        }
    }
    let count = (length / repeat + 0.5).floor().max(1.0);
    let each = length / count;
    let place = |at: f64, aside: f64| {
        let inside = at.clamp(0.0, length);
        let step = steps.iter().rfind(|step| step.begin <= inside).unwrap();
        let on = inside - step.begin;
        (
            step.from.0 + step.way.0 * on + step.way.1 * aside,
            step.from.1 + step.way.1 * on - step.way.0 * aside,
        )
    };
    let mut places = vec![place(0.0, 0.0)];
    for number in 0..count as u32 {
        for &(along, aside) in motif {
            places.push(place((f64::from(number) + along) * each, aside * height));
        }
    }
    places.push(place(length, 0.0));
    places
}

#[test]
#[ignore = "needs node: tests/other-languages/javascript/build.sh"]
fn a_step_in_javascript_gives_the_same_bits_as_its_twin() {
    let plugin = motif_line();
    let bent: Vec<(f64, f64)> = (0..200)
        .map(|i| {
            let i = f64::from(i);
            (i * 0.31, (i * 0.7) % 5.3)
        })
        .collect();
    let paths = vec![
        line(&bent, false),
        line(&[(70.0, 3.0), (80.1, 4.7), (75.2, 9.9)], true),
    ];
    let (after, log) = call(
        plugin,
        &lines(paths.clone()),
        r#"{"repeat":3.3,"height":-1.7,"motif":[[0.1,0.3],[0.4,1],[0.9,-0.25]]}"#,
    );
    let motif = [(0.1, 0.3), (0.4, 1.0), (0.9, -0.25)];
    let [first, second] = [0, 1].map(|path| motifs(&paths[path], 3.3, -1.7, &motif));
    assert_eq!(
        after.stitches,
        [
            block(StitchKind::Needle, StitchRole::Cover, &first),
            block(StitchKind::Jump, StitchRole::Travel, &second[..1]),
            block(StitchKind::Needle, StitchRole::Cover, &second),
        ]
    );
    assert!(log.findings.is_empty());
}

#[test]
#[ignore = "needs node: tests/other-languages/javascript/build.sh"]
fn a_step_in_javascript_fails_and_reports_in_sentences() {
    let plugin = motif_line();
    let dot = lines(vec![line(&[(1.0, 1.0)], false)]);
    let (after, log) = call(plugin, &dot, "{}");
    assert_eq!(after, dot);
    assert_eq!(
        log.findings[0].message,
        "A line without length got no motif."
    );
    let straight = lines(vec![line(&[(0.0, 0.0), (90.0, 0.0)], false)]);
    let (_, log) = call(plugin, &straight, r#"{"repeat":90}"#);
    assert_eq!(
        log.findings[0].message,
        "The motif has a stitch of 45.0 mm; a machine's longest is 12.1 mm."
    );
    let area = Object::new("sky", Shape::Region(Region { polygons: vec![] }));
    let refused = plugin.0.call_object(&plugin.1, &area, &thread(), "{}");
    let Err(CallError::Failure(failure)) = refused.map_err(|unanswered| unanswered.why) else {
        panic!("it fails");
    };
    assert_eq!(failure.message, "It has no lines to lay a motif along.");
    assert_eq!(failure.object.as_deref(), Some("sky"));
}

/// The whole program with both, from drawing to machine file.
#[test]
#[ignore = "needs clang and node: tests/other-languages/*/build.sh"]
fn steps_in_c_and_javascript_work_in_one_pipeline() {
    let folder = scratch().join("other-languages");
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    let pipeline = folder.join("pipeline.json");
    std::fs::write(
        &pipeline,
        r#"{ "steps": [
            { "step": "motif-line", "on": { "tag": "twig" }, "settings": { "height": 3 } },
            { "step": "bean-stitch", "on": { "tag": "twig" } },
            { "step": "ties-and-trims" }
        ] }"#,
    )
    .unwrap();
    let output = hoopwright()
        .arg("run")
        .arg(&pipeline)
        .arg(root().join("sdk/cookbook/night.svg"))
        .args(["--hold-at", "never", "--into"])
        .arg(&folder)
        .arg("--plugin")
        .arg(file("c", "bean-stitch.wasm"))
        .arg("--plugin")
        .arg(file("javascript", "motif-line.wasm"))
        .output()
        .unwrap();
    let told = String::from_utf8(output.stderr).unwrap();
    assert!(output.status.success(), "{told}");
    let file = folder.join("night.design.json");
    let design = design_json::read(&std::fs::read_to_string(&file).unwrap(), &file).unwrap();
    let twig = design.objects.iter().find(|o| o.id == "twig").unwrap();
    let Shape::Lines(drawn) = &twig.shape else {
        panic!("the twig is a line");
    };
    let motif = motifs(&drawn.paths[0], 4.0, 3.0, &[(0.25, 1.0), (0.5, 0.0)]);
    let cover: Vec<(f64, f64)> = twig
        .stitches
        .iter()
        .filter(|b| b.kind == StitchKind::Needle && b.role == StitchRole::Cover)
        .flat_map(|b| b.x.iter().copied().zip(b.y.iter().copied()))
        .collect();
    assert_eq!(cover, bean(&motif, 3, 1.0));
    assert!(std::fs::metadata(folder.join("night.dst")).unwrap().len() > 512 + 3 * 70);
}
