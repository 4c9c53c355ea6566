//! A machine file with long ways that nobody cut: read, given trims and ties, and written again.
//! What comes out is judged by the reader that shares no code with the program's own.

use crate::files::{root, scratch, sew};
use hoopwright::artwork;
use hoopwright::design::{Design, Object, Point, Rectangle, Shape, StitchKind, StitchList};
use hoopwright::design::{StitchRole, Thread};
use hoopwright::formats::dst::{self, Machine};
use hoopwright::pipeline::Size;
use hoopwright_tests::independent_dst::{self, Kind, Record};
use std::path::{Path, PathBuf};

/// A square of 4 mm in stitches of 2 mm, with its first corner at `x`, `y`.
fn square(list: &mut StitchList, x: f64, y: f64) {
    let corners = [
        (0, 0),
        (2, 0),
        (4, 0),
        (4, 2),
        (4, 4),
        (2, 4),
        (0, 4),
        (0, 2),
        (0, 0),
    ];
    for (dx, dy) in corners {
        let at = geo::Coord {
            x: x + f64::from(dx),
            y: y + f64::from(dy),
        };
        list.needle(StitchRole::Cover, at);
    }
}

fn jump(list: &mut StitchList, x: f64, y: f64) {
    list.jump(geo::Coord { x, y });
}

fn thread(name: &str, red: u8) -> Thread {
    Thread {
        name: name.to_owned(),
        code: String::new(),
        red,
        green: 0,
        blue: 0,
        weight: 40,
    }
}

/// Five squares in two threads. From one to the next: 20 mm, 3 mm, a thread change, and 40 mm.
/// Only the last is long enough to make a machine cut by itself, for it takes three jumps.
fn source() -> Design {
    let mut first = StitchList::new();
    square(&mut first, 0.0, 0.0);
    jump(&mut first, 20.0, 0.0);
    square(&mut first, 20.0, 0.0);
    jump(&mut first, 20.0, -3.0);
    square(&mut first, 20.0, -3.0);
    let mut second = StitchList::new();
    square(&mut second, 0.0, 10.0);
    jump(&mut second, 40.0, 10.0);
    square(&mut second, 40.0, 10.0);
    let object = |id: &str, thread, list: StitchList| {
        let mut object = Object::new(id, Shape::Manual);
        object.thread = thread;
        object.stitches = list.into_blocks();
        object
    };
    let page = Point { x: 0.0, y: 0.0 };
    Design {
        title: "Five squares".to_owned(),
        page: Rectangle {
            least: page,
            greatest: page,
        },
        threads: vec![thread("one", 200), thread("two", 100)],
        objects: vec![object("one", 0, first), object("two", 1, second)],
    }
}

fn folder(name: &str) -> PathBuf {
    let folder = scratch().join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

/// What the demo's pipeline makes of a machine file.
fn trimmed(art: &Path) -> Vec<u8> {
    let into = art.with_extension("out");
    sew(&root().join("demo-pipelines/dst-trims.json"), art, &into);
    let name = art.with_extension("dst");
    std::fs::read(into.join(name.file_name().unwrap())).unwrap()
}

/// How many jumps come before each needle point that follows jumps, between two halts; the way to
/// the first needle point of a thread does not count.
fn jumps_between(records: &[Record]) -> Vec<usize> {
    let mut all = Vec::new();
    let mut jumps = 0;
    let mut threaded = false;
    for record in records {
        match record.kind {
            Kind::Jump => jumps += 1,
            Kind::Stitch => {
                if jumps > 0 && threaded {
                    all.push(jumps);
                }
                jumps = 0;
                threaded = true;
            }
            Kind::Change | Kind::End => {
                jumps = 0;
                threaded = false;
            }
        }
    }
    all
}

/// The needle points between two cuts or halts, in 0.1 mm from the start point, y up. Three jumps
/// in a row cut: the number that the machine of the demo's pipeline is set to.
fn threads(records: &[Record]) -> Vec<Vec<(i32, i32)>> {
    let (mut x, mut y) = (0, 0);
    let mut threads = vec![Vec::new()];
    let mut jumps = 0;
    for record in records {
        x += record.dx;
        y += record.dy;
        match record.kind {
            Kind::Jump => jumps += 1,
            Kind::Stitch => {
                if jumps >= 3 {
                    threads.push(Vec::new());
                }
                jumps = 0;
                threads.last_mut().unwrap().push((x, y));
            }
            Kind::Change | Kind::End => threads.push(Vec::new()),
        }
    }
    threads.retain(|thread| !thread.is_empty());
    threads
}

/// Whether a thread begins with a tie: 3 to 5 small stitches (H. Hart Momsen), each no longer than
/// 1.2 mm (common practice) and a step of the file.
fn is_tied<'a>(points: impl Iterator<Item = &'a (i32, i32)>) -> bool {
    let points: Vec<(i32, i32)> = points.copied().collect();
    let small = points.windows(2).take_while(|pair| {
        let (dx, dy) = (pair[1].0 - pair[0].0, pair[1].1 - pair[0].1);
        dx * dx + dy * dy <= 13 * 13
    });
    small.count() >= 3
}

#[test]
fn ways_that_were_left_are_cut_and_every_thread_is_tied() {
    let folder = folder("dst-trims");
    let art = folder.join("squares.dst");
    let written = dst::write(&source(), &Machine::default()).unwrap();
    std::fs::write(&art, &written.bytes).unwrap();
    let before = independent_dst::read(&written.bytes).unwrap();
    // 20 mm take two moves, 3 mm are jumped, 40 mm take four moves: the last of each is a stitch.
    assert_eq!(jumps_between(&before.records), [1, 1, 3]);

    let after = independent_dst::read(&trimmed(&art)).unwrap();
    let jumps = jumps_between(&after.records);
    assert_eq!(jumps.len(), 3);
    assert!(jumps[0] >= 3 && jumps[2] >= 3, "{jumps:?}");
    assert_eq!(jumps[1], 1, "3 mm are not cut");
    let changes = |records: &[Record]| records.iter().filter(|r| r.kind == Kind::Change).count();
    assert_eq!(changes(&after.records), 1);

    // Every needle point is still there, in order and in its place; what is new are ties.
    let old: Vec<(i32, i32)> = threads(&before.records).concat();
    let new: Vec<(i32, i32)> = threads(&after.records).concat();
    let mut left = new.iter();
    for place in &old {
        // Seen from the start point, which the pipeline's `origin` keeps where it was.
        assert!(left.any(|new| new == place), "{place:?} is gone");
    }
    let threads = threads(&after.records);
    assert_eq!(threads.len(), 4, "two cuts and a change");
    for thread in &threads {
        assert!(is_tied(thread.iter()), "not tied in: {thread:?}");
        assert!(is_tied(thread.iter().rev()), "not tied off: {thread:?}");
    }

    // The header tells what the records hold.
    let reach = independent_dst::reach(&after.records);
    assert_eq!(
        (
            after.header.right,
            after.header.left,
            after.header.up,
            after.header.down
        ),
        (reach.right, reach.left, reach.up, reach.down)
    );
}

/// Nothing is tied or cut twice.
#[test]
fn a_file_that_has_all_its_ties_and_trims_stays_as_it_is() {
    let folder = folder("dst-trims-twice");
    let art = folder.join("squares.dst");
    let written = dst::write(&source(), &Machine::default()).unwrap();
    std::fs::write(&art, &written.bytes).unwrap();
    let once = trimmed(&art);
    std::fs::write(&art, &once).unwrap();
    let twice = trimmed(&art);
    let records = |file: &[u8]| independent_dst::read(file).unwrap().records;
    assert_eq!(records(&twice), records(&once));
}

/// The reader makes up colours, so that runs can be told apart: the nearest threads of a rack are not theirs. Two
/// runs on one thread would be sewn in one, and the operator sent to the wrong spool.
#[test]
fn a_rack_leaves_the_runs_of_a_machine_file_apart() {
    let folder = folder("dst-rack");
    let art = folder.join("squares.dst");
    let written = dst::write(&source(), &Machine::default()).unwrap();
    std::fs::write(&art, &written.bytes).unwrap();
    let rack = r##"{ "name": "One spool", "threads": [ { "code": "N02", "name": "Night watch", "colour": "#1b2a3f" } ] }"##;
    std::fs::write(folder.join("rack.json"), rack).unwrap();
    let pipeline = r#"{ "rack": "rack.json", "steps": [ { "step": "sew-order" } ] }"#;
    std::fs::write(folder.join("routine.json"), pipeline).unwrap();
    let into = folder.join("out");
    sew(&folder.join("routine.json"), &art, &into);
    let sewn = independent_dst::read(&std::fs::read(into.join("squares.dst")).unwrap()).unwrap();
    let changes = sewn.records.iter().filter(|r| r.kind == Kind::Change);
    assert_eq!(changes.count(), 1);
    let sheet = std::fs::read_to_string(into.join("squares.worksheet.html")).unwrap();
    assert!(
        !sheet.contains("Night watch"),
        "no spool is named for a run without a colour"
    );
}

/// What three jumps mean is the machine's own setting.
#[test]
fn the_pipelines_machine_says_what_is_a_trim() {
    let folder = folder("dst-trims-machine");
    let art = folder.join("squares.dst");
    let written = dst::write(&source(), &Machine::default()).unwrap();
    std::fs::write(&art, &written.bytes).unwrap();
    let kinds = |trim_jumps| {
        let machine = Machine {
            trim_jumps,
            ..Machine::default()
        };
        let (design, _) = artwork::read_for(&art, Size::default(), &machine).unwrap();
        let stitches = design.objects.iter().flat_map(Object::each_stitch);
        let up = stitches.filter(|stitch| stitch.kind != StitchKind::Needle);
        up.map(|stitch| stitch.kind).collect::<Vec<_>>()
    };
    use StitchKind::{Jump, Trim};
    assert_eq!(kinds(3), [Jump, Jump, Trim]);
    assert_eq!(kinds(4), [Jump, Jump, Jump]);
    assert_eq!(kinds(1), [Trim, Trim, Trim]);
    let (design, _) = artwork::read(&art, Size::default()).unwrap();
    assert_eq!(
        design.objects[1]
            .each_stitch()
            .filter(|s| s.kind == Trim)
            .count(),
        1
    );
}
