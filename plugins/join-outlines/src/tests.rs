//! The whole step, from a design to the joined design.

use super::*;
use geo::{MultiPolygon, polygon};
use geometry::measure::distance;
use hoopwright_sdk::{DirectionMark, Lines};

fn path(corners: &[(f64, f64)]) -> Polyline {
    Polyline::new(corners.iter().map(|&(x, y)| Coord { x, y }), false)
}

fn object(id: &str, paths: &[&[(f64, f64)]]) -> Object {
    let paths = paths.iter().map(|corners| path(corners)).collect();
    Object::new(id, Shape::Lines(Lines { paths, width: 0.4 }))
}

fn design(objects: Vec<Object>) -> Design {
    Design {
        title: "barn owl".to_owned(),
        ..Design::on_page(0.0, 0.0, objects)
    }
}

fn join(objects: Vec<Object>, settings: &JoinOutlines) -> (Vec<Object>, Vec<Finding>) {
    let selected: Vec<usize> = (0..objects.len()).collect();
    messages::take();
    let design = join_outlines(design(objects), &selected, settings).expect("it never fails");
    (design.objects, messages::take())
}

fn paths(object: &Object) -> &[Polyline] {
    match &object.shape {
        Shape::Lines(lines) => &lines.paths,
        other => panic!("not lines: {other:?}"),
    }
}

fn length(path: &Polyline) -> f64 {
    let line = path.to_line_string();
    line.0
        .windows(2)
        .map(|pair| distance(pair[0], pair[1]))
        .sum()
}

/// The lines of a grid of `cells` x `cells` squares of 10 mm, each side its own object.
fn grid(cells: i32) -> Vec<Object> {
    let mut objects = Vec::new();
    for row in 0..=cells {
        for column in 0..=cells {
            let (x, y) = (f64::from(column) * 10., f64::from(row) * 10.);
            if column < cells {
                objects.push(object(
                    &format!("h{row}-{column}"),
                    &[&[(x, y), (x + 10., y)]],
                ));
            }
            if row < cells {
                objects.push(object(
                    &format!("v{row}-{column}"),
                    &[&[(x, y), (x, y + 10.)]],
                ));
            }
        }
    }
    objects
}

fn ids(objects: &[Object]) -> Vec<&str> {
    objects.iter().map(|object| object.id.as_str()).collect()
}

/// A window of 2 x 2 panes is the 3 x 3 vertex grid, whose optima of route inspection are 16
/// sides closed and 14 open (Edmonds and Johnson 1973).
#[test]
fn a_window_of_four_panes_is_sewn_at_the_optimum() {
    let (objects, findings) = join(grid(2), &JoinOutlines::default());
    assert_eq!(ids(&objects), ["h0-0"]);
    assert_eq!(paths(&objects[0]).len(), 1);
    assert!((length(&paths(&objects[0])[0]) - 140.0).abs() < 1e-6);
    assert_eq!(findings.len(), 2);
    let message = &findings[0].message;
    for said in ["12 lines of 12 objects", "20.0 mm", "2 trails", "4 places"] {
        assert!(message.contains(said), "{said} in {message}");
    }
    let back = JoinOutlines {
        come_back: true,
        ..JoinOutlines::default()
    };
    let (objects, _) = join(grid(2), &back);
    let path = &paths(&objects[0])[0];
    assert!(path.closed);
    assert!((length(path) - 160.0).abs() < 1e-6);
    let even = JoinOutlines {
        weight: Weight::EvenTwice,
        ..JoinOutlines::default()
    };
    let (objects, _) = join(grid(2), &even);
    assert!((length(&paths(&objects[0])[0]) - 240.0).abs() < 1e-6);
}

#[test]
fn other_threads_widths_and_unselected_objects_stay() {
    let line: &[(f64, f64)] = &[(0., 0.), (10., 0.)];
    let across: &[(f64, f64)] = &[(5., -5.), (5., 5.)];
    let mut thread = object("thread", &[across]);
    thread.thread = 1;
    let mut wide = object("wide", &[across]);
    wide.shape = Shape::Lines(Lines {
        paths: vec![path(across)],
        width: 2.0,
    });
    let before = vec![object("a", &[line]), thread, wide];
    let (objects, findings) = join(before.clone(), &JoinOutlines::default());
    assert_eq!(objects, before);
    assert!(findings.is_empty());
    let pair = design(vec![object("a", &[line]), object("b", &[across])]);
    let after = join_outlines(pair.clone(), &[0], &JoinOutlines::default());
    assert_eq!(after.expect("it never fails"), pair);
    let after = join_outlines(pair.clone(), &[0, 7], &JoinOutlines::default());
    assert_eq!(after.expect("it never fails"), pair);
}

#[test]
fn the_joined_object_comes_where_its_last_piece_was() {
    let fill = Object::new("fill", Shape::Manual);
    let mut first = object("first", &[&[(0., 0.), (10., 0.)]]);
    first.tags = vec!["wing".to_owned()];
    let mut last = object("last", &[&[(10., 0.), (10., 9.)]]);
    last.tags = vec!["wing".to_owned(), "edge".to_owned()];
    let top = Object::new("top", Shape::Manual);
    let (objects, _) = join(vec![first, fill, last, top], &JoinOutlines::default());
    assert_eq!(ids(&objects), ["fill", "first", "top"]);
    assert_eq!(objects[1].tags, ["wing", "edge"]);
}

/// A direction mark turns the stitches near it (the contract): near every piece, not the first alone.
#[test]
fn the_direction_marks_of_all_pieces_are_kept() {
    let mark = |x: f64| DirectionMark {
        tail: Point { x, y: -1.0 },
        head: Point { x: x + 1.0, y: 1.0 },
    };
    let with = |id: &str, from: f64, marks: &[f64]| {
        let mut piece = object(id, &[&[(from, 0.), (from + 10., 0.)]]);
        piece.sewing.direction_marks = marks.iter().map(|&x| mark(x)).collect();
        piece
    };
    // The mark at the joint was drawn for both.
    let pieces = vec![with("a", 0., &[2., 9.5]), with("b", 10., &[9.5, 15.])];
    let (objects, findings) = join(pieces, &JoinOutlines::default());
    assert_eq!(ids(&objects), ["a"]);
    let kept = &objects[0].sewing.direction_marks;
    assert_eq!(kept, &[mark(2.), mark(9.5), mark(15.)]);
    assert!(findings.iter().all(|f| f.severity == Severity::Note));
}

#[test]
fn settings_that_cannot_all_be_kept_are_named() {
    let pieces = || {
        [0., 10., 20.]
            .map(|x| object(&format!("at-{x}"), &[&[(x, 0.), (x + 10., 0.)]]))
            .to_vec()
    };
    let mut differing = pieces();
    differing[0].sewing.angle = Some(30.0);
    differing[1].sewing.angle = Some(30.0);
    differing[1].sewing.density = Some(0.3);
    differing[2].sewing.stitch_length = Some(2.0);
    let (objects, findings) = join(differing, &JoinOutlines::default());
    assert_eq!(objects[0].sewing.angle, Some(30.0));
    assert_eq!(objects[0].sewing.density, None);
    let warned = findings.iter().find(|f| f.severity == Severity::Warning);
    let warned = warned.expect("a warning");
    assert_eq!(warned.object.as_deref(), Some("at-0"));
    let named = "angle and density and stitch length";
    assert!(warned.message.contains(named), "{}", warned.message);
    let mut same = pieces();
    for piece in &mut same {
        piece.sewing.density = Some(0.3);
    }
    let (objects, findings) = join(same, &JoinOutlines::default());
    assert_eq!(objects[0].sewing.density, Some(0.3));
    assert!(findings.iter().all(|f| f.severity == Severity::Note));
}

#[test]
fn paths_of_one_object_are_told_apart() {
    let two = object("two", &[&[(0., 0.), (10., 0.)], &[(50., 0.), (60., 0.)]]);
    let cross = object("cross", &[&[(5., -5.), (5., 5.)]]);
    let (objects, _) = join(vec![two, cross], &JoinOutlines::default());
    assert_eq!(ids(&objects), ["two-rest", "two"]);
    assert_eq!(paths(&objects[0]), [path(&[(50., 0.), (60., 0.)])]);
    // Two parts that begin with the same object.
    let two = object("two", &[&[(0., 0.), (10., 0.)], &[(50., 0.), (60., 0.)]]);
    let both = object("both", &[&[(5., -5.), (5., 5.)], &[(55., -5.), (55., 5.)]]);
    let (objects, _) = join(vec![two, both], &JoinOutlines::default());
    assert_eq!(ids(&objects), ["two", "two-part"]);
}

#[test]
fn region_edges_are_joined_when_asked() {
    let square = |x: f64| -> MultiPolygon<f64> {
        polygon![(x: x, y: 0.), (x: x + 5., y: 0.), (x: x + 5., y: 5.), (x: x, y: 5.)].into()
    };
    let regions = vec![
        Object::of_region("left", &square(0.)),
        Object::of_region("right", &square(5.)),
        Object::of_region("far", &square(50.)),
    ];
    let (objects, _) = join(regions.clone(), &JoinOutlines::default());
    assert_eq!(objects, regions);
    let edges = JoinOutlines {
        region_edges: true,
        ..JoinOutlines::default()
    };
    let (objects, _) = join(regions.clone(), &edges);
    assert_eq!(ids(&objects), ["left", "far"]);
    assert_eq!(objects[1], regions[2]);
    // Seven sides, and the shared one is an end of the trail at both its joints: no retracing.
    assert!((length(&paths(&objects[0])[0]) - 35.0).abs() < 1e-3);
}

#[test]
fn stitches_that_are_lost_are_reported() {
    let mut sewn = object("sewn", &[&[(0., 0.), (10., 0.)]]);
    let mut list = StitchList::new();
    list.needle(StitchRole::Cover, Coord { x: 0., y: 0. });
    sewn.stitches = list.into_blocks();
    let cross = object("cross", &[&[(5., -5.), (5., 5.)]]);
    let (objects, findings) = join(vec![sewn, cross], &JoinOutlines::default());
    assert!(objects[0].stitches.is_empty());
    assert!(findings.iter().any(|f| f.severity == Severity::Warning));
}

#[test]
fn degenerate_lines_stay_as_they_are() {
    let before = vec![
        object("empty", &[]),
        object("dot", &[&[(1., 1.)]]),
        object("twice", &[&[(1., 1.), (1., 1.)]]),
        object("nan", &[&[(f64::INFINITY, 1.), (1., f64::NEG_INFINITY)]]),
    ];
    let (objects, _) = join(before.clone(), &JoinOutlines::default());
    assert_eq!(objects, before);
    let huge = vec![object(
        "huge",
        &[&[(0., 0.), (1e300, 0.)], &[(1., -1.), (1., 1.)]],
    )];
    assert_eq!(join(huge, &JoinOutlines::default()).0.len(), 1);
}

#[test]
fn joining_again_changes_nothing() {
    let (once, _) = join(grid(3), &JoinOutlines::default());
    let (again, findings) = join(once.clone(), &JoinOutlines::default());
    assert_eq!(again, once);
    assert!(findings.is_empty());
}

#[test]
fn the_description_names_its_settings() {
    let description = description();
    assert_eq!(description.name, "join-outlines");
    for word in [
        "reach",
        "width-tolerance",
        "even-twice",
        "come-back",
        "region-edges",
    ] {
        assert!(description.settings_schema.contains(word), "{word}");
    }
    assert!(
        description
            .manual
            .contains(&inspection::greatest_exact().to_string())
    );
}
