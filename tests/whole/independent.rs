//! The machine file, read by readers that share no code with the host.

use crate::files::root;
use crate::owl::sewn;
use hoopwright::design::StitchKind;
use hoopwright_geometry::measure::distance;
use hoopwright_tests::independent_dst::{self, Kind, Record};
use std::path::Path;
use std::process::Command;

/// Where the needle goes down, in 0.1 mm from the start point, y up.
fn needle_points(records: &[Record]) -> Vec<(i32, i32)> {
    let (mut x, mut y) = (0, 0);
    let mut points = Vec::new();
    for record in records {
        x += record.dx;
        y += record.dy;
        if record.kind == Kind::Stitch {
            points.push((x, y));
        }
    }
    points
}

/// Published layout: `hoopwright_tests::independent_dst` names its sources.
#[test]
fn the_independent_reader_sees_the_same_needle_points() {
    let file = independent_dst::read(&sewn().machine_file).unwrap();
    let theirs = needle_points(&file.records);
    let (design, _) =
        hoopwright::formats::dst::read(&sewn().machine_file, Path::new("owl.dst")).unwrap();
    let ours: Vec<(i32, i32)> = design
        .objects
        .iter()
        .flat_map(|object| object.each_stitch())
        .filter(|stitch| stitch.kind == StitchKind::Needle)
        .map(|stitch| {
            (
                (stitch.at.x * 10.0).round() as i32,
                (-stitch.at.y * 10.0).round() as i32,
            )
        })
        .collect();
    assert_eq!(theirs.len(), ours.len());
    assert_eq!(theirs, ours);
}

#[test]
fn the_header_tells_what_the_records_hold() {
    let file = independent_dst::read(&sewn().machine_file).unwrap();
    let reach = independent_dst::reach(&file.records);
    let header = &file.header;
    assert_eq!(
        (header.right, header.left, header.up, header.down),
        (reach.right, reach.left, reach.up, reach.down)
    );
    assert_eq!((header.end_x, header.end_y), (reach.end_x, reach.end_y));
    let changes = file
        .records
        .iter()
        .filter(|record| record.kind == Kind::Change)
        .count();
    assert_eq!(header.changes as usize, changes);
}

/// Every thread change of the design is one in the file, and every needle point of the design
/// lands within the machine's step of 0.1 mm of one in the file. Where an object begins on the very
/// place at which the one before ended, the needle goes down once.
#[test]
fn the_file_sews_the_design() {
    let design = &sewn().design;
    let file = independent_dst::read(&sewn().machine_file).unwrap();
    let threads: Vec<u32> = design.objects.iter().map(|object| object.thread).collect();
    let changes = threads.windows(2).filter(|pair| pair[0] != pair[1]).count();
    let in_file = file
        .records
        .iter()
        .filter(|record| record.kind == Kind::Change)
        .count();
    assert_eq!(in_file, changes);
    let mut needles: Vec<_> = design
        .objects
        .iter()
        .flat_map(|object| object.each_stitch())
        .filter(|stitch| stitch.kind == StitchKind::Needle)
        .map(|stitch| stitch.at)
        .collect();
    needles.dedup_by(|next, last| distance(*next, *last) < 0.001);
    let bounds = design.needle_bounds().unwrap();
    let centre = bounds.center();
    let mut points = needle_points(&file.records).into_iter().map(|(x, y)| {
        (
            f64::from(x) / 10.0 + centre.x,
            centre.y - f64::from(y) / 10.0,
        )
    });
    for needle in needles {
        // Points between needle points only split long moves; each needle point has its own.
        let near =
            |(x, y): &(f64, f64)| (x - needle.x).abs() < 0.101 && (y - needle.y).abs() < 0.101;
        let found = points.by_ref().find(near);
        assert!(found.is_some(), "no point of the file lies at {needle:?}");
    }
}

/// pyembroidery 1.5.1 from PyPI, used for reading files only.
#[test]
#[ignore = "needs Python and a package; .ci/run installs them and runs this"]
fn a_reader_in_python_sees_the_same_records() {
    let python = root().join("target/oracle/bin/python");
    let output = Command::new(python)
        .arg(root().join("tests/oracle/dst_records.py"))
        .arg(sewn().folder.join("owl.dst"))
        .output()
        .unwrap();
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    let theirs: Vec<(i64, i64, String)> = String::from_utf8(output.stdout)
        .unwrap()
        .lines()
        .map(|line| {
            let record: serde_json::Value = serde_json::from_str(line).unwrap();
            (
                record["dx"].as_i64().unwrap(),
                record["dy"].as_i64().unwrap(),
                record["kind"].as_str().unwrap().to_owned(),
            )
        })
        .collect();
    let ours: Vec<(i64, i64, String)> = independent_dst::read(&sewn().machine_file)
        .unwrap()
        .records
        .iter()
        .map(|record| {
            let kind = match record.kind {
                Kind::Stitch => "stitch",
                Kind::Jump => "jump",
                Kind::Change => "change",
                Kind::End => "end",
            };
            (i64::from(record.dx), i64::from(record.dy), kind.to_owned())
        })
        .collect();
    assert_eq!(theirs, ours);
}
