//! Settings, and what is reported.

use super::shapes::{rectangle, ring_of};
use super::{sew, thread};
use crate::{SatinColumn, description, satin_column};
use hoopwright_sdk::DirectionMark;
use hoopwright_sdk::prelude::*;

#[test]
fn the_schema_names_the_settings_in_the_trades_words() {
    let description = description();
    for name in [
        "density",
        "pull-compensation",
        "pull-compensation-left",
        "pull-compensation-right",
        "pull-compensation-percent",
        "width-at-start",
        "width-at-end",
        "underlay-inset",
        "split-over",
        "greatest-width",
        "least-width",
        "short-stitches",
    ] {
        assert!(
            description.settings_schema.contains(&format!("\"{name}\"")),
            "{name}"
        );
    }
    assert!(description.settings_schema.contains("line 1 to line 3"));
    let settings: SatinColumn =
        hoopwright_sdk::serde_json::from_str(r#"{"underlay": "edge-and-zigzag", "width": 2.5}"#)
            .expect("settings");
    assert_eq!(settings.width, Some(2.5));
}

#[test]
fn a_wide_column_is_reported_and_sewn() {
    let (stitches, findings) = sew(
        Object::of_region("wing", &rectangle(40.0, 12.0)),
        &SatinColumn::default(),
    );
    assert!(stitches.len() > 100);
    assert_eq!(findings.len(), 1);
    assert_eq!(findings[0].severity, Severity::Warning);
    assert_eq!(findings[0].object.as_deref(), Some("wing"));
    assert!(
        findings[0].message.contains("12.0 mm"),
        "{}",
        findings[0].message
    );
}

#[test]
fn a_thin_column_becomes_a_run_three_times() {
    let (stitches, findings) = sew(
        Object::of_region("whisker", &rectangle(20.0, 0.45)),
        &SatinColumn::default(),
    );
    assert_eq!(findings.len(), 1);
    assert_eq!(findings[0].severity, Severity::Note);
    for stitch in &stitches {
        assert!((stitch.at.y - 0.225).abs() < 0.05, "{stitch:?}");
    }
    let middle = stitches
        .iter()
        .filter(|stitch| (stitch.at.x - 10.0).abs() < 1.0)
        .count();
    assert!(middle >= 3, "{middle}");
}

#[test]
fn the_objects_own_settings_win() {
    let count = |density: Option<f64>| {
        let mut object = Object::of_region("bar", &rectangle(20.0, 3.0));
        object.sewing.density = density;
        sew(object, &SatinColumn::default())
            .0
            .iter()
            .filter(|s| s.role == StitchRole::Cover)
            .count()
    };
    assert!(count(None) > count(Some(0.8)) * 19 / 10);
}

#[test]
fn width_overrides_the_drawn_one() {
    let line: geo::LineString<f64> = vec![(0.0, 0.0), (20.0, 0.0)].into();
    let settings = SatinColumn {
        width: Some(4.0),
        pull_compensation: 0.0,
        ..SatinColumn::default()
    };
    for drawn in [0.0, 1.0] {
        let (stitches, findings) = sew(Object::of_line("stem", &line, drawn), &settings);
        let reach = stitches
            .iter()
            .map(|stitch| stitch.at.y)
            .fold(0.0, f64::max);
        assert!((reach - 2.0).abs() < 1e-6 && findings.is_empty());
    }
}

#[test]
fn add_keeps_what_was_there() {
    let object = Object::of_region("bar", &rectangle(20.0, 3.0));
    let once = satin_column(object, &thread(), &SatinColumn::default()).expect("sewn");
    let before: Vec<Stitch> = stitches_of(&once.stitches).collect();
    let settings = SatinColumn {
        add: true,
        ..SatinColumn::default()
    };
    let twice = satin_column(once.clone(), &thread(), &settings).expect("sewn");
    let after: Vec<Stitch> = stitches_of(&twice.stitches).collect();
    assert_eq!(after[..before.len()], before[..]);
    assert!(after.len() >= before.len() * 2);
    let again = satin_column(once, &thread(), &SatinColumn::default()).expect("sewn");
    assert_eq!(stitches_of(&again.stitches).collect::<Vec<_>>(), before);
}

#[test]
fn a_mitred_box_is_closed() {
    let line = ring_of([(0., 0.), (25., 0.), (25., 15.), (0., 15.)]);
    let (stitches, findings) = sew(
        Object::of_line("frame", &line, 3.0),
        &SatinColumn::default(),
    );
    assert!(findings.is_empty());
    let first = stitches[0].at;
    let last = stitches[stitches.len() - 1].at;
    assert!(geometry::measure::distance(first, last) < 4.0);
}

#[test]
fn direction_marks_turn_the_stitches() {
    let slant = |marked: bool| {
        let mut object = Object::of_region("bar", &rectangle(30.0, 4.0));
        if marked {
            object.sewing.direction_marks = vec![DirectionMark {
                tail: Point { x: 14.0, y: 1.0 },
                head: Point { x: 16.0, y: 3.0 },
            }];
        }
        let (stitches, findings) = sew(object, &SatinColumn::default());
        assert!(findings.is_empty());
        let slants = super::moves(&stitches).filter(|(a, b)| {
            a.role == b.role && b.role == StitchRole::Cover && (b.at.x - 15.0).abs() < 3.0
        });
        let slants: Vec<f64> = slants
            .map(|(a, b)| (b.at.x - a.at.x) / (b.at.y - a.at.y))
            .collect();
        slants.iter().sum::<f64>() / slants.len() as f64
    };
    assert!(slant(false).abs() < 0.1);
    assert!((slant(true) - 1.0).abs() < 0.15, "{}", slant(true));
}

/// Every number has a unit and a range, those that may be left out too.
#[test]
fn every_number_has_a_unit_and_a_range() {
    let schema: hoopwright_sdk::serde_json::Value =
        hoopwright_sdk::serde_json::from_str(&description().settings_schema).expect("JSON");
    let properties = schema["properties"].as_object().expect("settings");
    for (name, setting) in properties {
        let is_number = setting["type"].to_string().contains("number");
        if is_number {
            for key in ["unit", "minimum", "maximum", "description"] {
                assert!(!setting[key].is_null(), "{name} has no {key}");
            }
        }
    }
    assert_eq!(properties["width"]["unit"], "mm");
}

#[test]
fn a_line_tapers_to_a_point() {
    let line: geo::LineString<f64> = vec![(0.0, 0.0), (20.0, 0.0), (40.0, 8.0)].into();
    let settings = SatinColumn {
        width_at_end: Some(0.0),
        ..SatinColumn::default()
    };
    let (stitches, findings) = sew(Object::of_line("tail", &line, 5.0), &settings);
    assert!(findings.is_empty());
    let cover = |near: f64| {
        let points = stitches.iter().filter(|s| s.role == StitchRole::Cover);
        points.filter(move |s| (s.at.x - near).abs() < 0.5)
    };
    let start = cover(0.5).map(|s| s.at.y).fold(0.0, f64::max);
    assert!((start - 2.7).abs() < 0.1, "{start}");
    let tip = Coord { x: 40.0, y: 8.0 };
    assert!(cover(39.5).all(|s| geometry::measure::distance(s.at, tip) < 1.2));
    assert!(cover(39.8).count() >= 1);
}

#[test]
fn a_closed_line_cannot_taper() {
    let line = ring_of([(0., 0.), (25., 0.), (25., 15.), (0., 15.)]);
    let settings = SatinColumn {
        width_at_end: Some(1.0),
        ..SatinColumn::default()
    };
    let (stitches, findings) = sew(Object::of_line("frame", &line, 3.0), &settings);
    assert!(!stitches.is_empty());
    assert_eq!(findings.len(), 1);
    assert_eq!(findings[0].object.as_deref(), Some("frame"));
}

/// A line that tapers from 3 to 0.2 mm is 3 - 2.8 x / 30 mm wide at x. It is satin from end to end:
/// whether it is a run goes by its greatest width, as the finding says, and not by that of a piece
/// of it, here the piece past the line that crosses it.
#[test]
fn a_column_is_satin_or_a_run_from_end_to_end() {
    let path = |a, b| Polyline::new([a, b].map(|(x, y)| Coord { x, y }), false);
    let paths = vec![
        path((0.0, 0.0), (30.0, 0.0)),
        path((24.0, -40.0), (24.0, 40.0)),
    ];
    let lines = Shape::Lines(hoopwright_sdk::Lines { paths, width: 3.0 });
    let settings = SatinColumn {
        width_at_start: Some(3.0),
        width_at_end: Some(0.2),
        pull_compensation: 0.2,
        ..SatinColumn::default()
    };
    let (stitches, findings) = sew(Object::new("cross", lines), &settings);
    assert!(findings.is_empty(), "{findings:?}");
    let past = |s: &&Stitch| {
        s.role == StitchRole::Cover && (26.0..29.0).contains(&s.at.x) && s.at.y.abs() < 2.0
    };
    let past: Vec<Coord<f64>> = stitches.iter().filter(past).map(|s| s.at).collect();
    assert!(past.len() >= 4, "{past:?}");
    for at in past {
        let edge = (3.0 - 2.8 * at.x / 30.0) / 2.0 + 0.2;
        // What is narrower than 1.1 mm is sewn wider, by no more than 0.2 mm to each side.
        let edge = edge.max(0.55_f64.min(edge + 0.2));
        assert!((at.y.abs() - edge).abs() < 0.05, "{at:?} {edge}");
    }
}

/// What is left out is said, with its place, also where something else is sewn.
#[test]
fn parts_that_are_left_out_are_reported() {
    let bar = rectangle(20.0, 3.0).0[0].exterior().clone();
    // 0.04 mm2, under a tenth of the needle's hole.
    let speck = |x: f64| ring_of([(x, 0.0), (x + 0.2, 0.0), (x + 0.2, 0.2), (x, 0.2)]);
    let specks = |places: &[f64]| {
        let rings = places.iter().map(|&x| speck(x));
        let area = super::shapes::region(std::iter::once(bar.clone()).chain(rings));
        Object::of_region("specks", &area)
    };
    let path =
        |a: (f64, f64), b: (f64, f64)| Polyline::new([a, b].map(|(x, y)| Coord { x, y }), false);
    let lines = |paths| {
        Object::new(
            "lines",
            Shape::Lines(hoopwright_sdk::Lines { paths, width: 2.0 }),
        )
    };
    let stem = path((0.0, 0.0), (20.0, 0.0));
    let nothing = |x: f64| path((x, 0.0), (x, 0.0));
    for (object, says) in [
        (
            specks(&[30.0]),
            "A part of this region is too small to sew, and left out.",
        ),
        (
            specks(&[30.0, 40.0]),
            "2 parts of this region are too small to sew, and left out.",
        ),
        (
            lines(vec![stem.clone(), nothing(30.0)]),
            "A line of this object has no length, and is left out.",
        ),
        (
            lines(vec![nothing(30.0), stem.clone(), nothing(40.0)]),
            "2 lines of this object have no length, and are left out.",
        ),
    ] {
        let id = object.id.clone();
        let (stitches, findings) = sew(object, &SatinColumn::default());
        assert!(!stitches.is_empty());
        assert_eq!(findings.len(), 1, "{findings:?}");
        let finding = &findings[0];
        assert_eq!(
            (finding.severity, finding.message.as_str()),
            (Severity::Warning, says)
        );
        assert_eq!(finding.object.as_deref(), Some(id.as_str()));
        assert!(finding.place.is_some_and(|at| (at.x - 30.0).abs() <= 0.2));
    }
}

#[test]
fn what_an_object_asks_for_in_vain_is_reported() {
    let with = |density, stitch_length| {
        let mut object = Object::of_region("bar", &rectangle(20.0, 3.0));
        object.sewing.density = density;
        object.sewing.stitch_length = stitch_length;
        let findings = sew(object, &SatinColumn::default()).1;
        findings.into_iter().map(|f| f.message).collect::<Vec<_>>()
    };
    assert!(with(None, None).is_empty());
    assert!(with(Some(0.4), Some(6.0)).is_empty());
    assert_eq!(
        with(Some(20.0), Some(1.0)),
        [
            "This object asks for a density of 20 mm; 10 mm is used.",
            "This object asks for a stitch length of 1 mm; 2 mm is used.",
        ]
    );
}

/// The widest stitch of satin, in mm, and 0 where all is sewn as a run, over the ends of two arms of a
/// letter.
fn satin_of_arms(stem: f64, arm: f64, bulge: f64) -> [f64; 2] {
    let letter = super::shapes::region([ring_of([
        (0.0, 0.0),
        (30.0, 0.0),
        (30.0, arm),
        (stem, arm),
        (stem, 20.0),
        (stem + bulge, 20.25),
        (stem, 20.5),
        (stem, 40.0),
        (25.0, 40.0),
        (25.0, 40.0 + arm),
        (stem, 40.0 + arm),
        (stem, 70.0),
        (0.0, 70.0),
    ])]);
    let (stitches, _) = sew(
        Object::of_region("letter", &letter),
        &SatinColumn::default(),
    );
    let widest = |is_there: &dyn Fn(Coord<f64>) -> bool, across: &dyn Fn(Coord<f64>) -> f64| {
        let here: Vec<f64> = stitches
            .iter()
            .filter(|stitch| stitch.role == StitchRole::Cover && is_there(stitch.at))
            .map(|stitch| across(stitch.at))
            .collect();
        let least = here.iter().copied().fold(f64::INFINITY, f64::min);
        here.iter().copied().fold(f64::NEG_INFINITY, f64::max) - least
    };
    [
        widest(&|p| (45.0..65.0).contains(&p.y), &|p| p.x),
        widest(&|p| p.y > 38.0 && p.x > 8.0, &|p| p.y),
    ]
}

#[test]
fn columns_of_an_object_that_are_about_as_wide_are_sewn_alike() {
    for (stem, arm, bulge, satin) in [
        (0.55, 0.48, 0.0, true),
        (0.52, 0.45, 0.0, true),
        (0.48, 0.55, 0.0, false),
        (0.6, 0.35, 0.0, true),
        (0.45, 0.45, 0.1, false),
        (0.44, 0.4, 0.2, false),
    ] {
        let sewn = satin_of_arms(stem, arm, bulge);
        let alike = sewn
            .iter()
            .all(|&width| (width > 0.8) == satin && (width < 0.2) != satin);
        assert!(alike, "{stem} {arm} {bulge}: {sewn:?}");
    }
    // What is drawn as a hairline beside a stem stays one.
    let [stem, arm] = satin_of_arms(1.2, 0.4, 0.0);
    assert!(stem > 1.2 && arm < 0.2, "{stem} {arm}");
    let [stem, arm] = satin_of_arms(0.55, 0.25, 0.0);
    assert!(stem > 0.8 && arm < 0.2, "{stem} {arm}");
}
