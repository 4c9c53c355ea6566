//! Small designs whose best starts and finishes are known.

use hoopwright_sdk::geometry::geo::polygon;
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;
use hoopwright_starts_and_finishes::{StartsAndFinishes, starts_and_finishes};

fn square(id: &str, thread: u32, x: f64, y: f64, side: f64) -> Object {
    let area = polygon![
        (x: x, y: y), (x: x + side, y: y), (x: x + side, y: y + side), (x: x, y: y + side)
    ];
    let mut object = Object::of_region(id, &area.into());
    object.thread = thread;
    object
}

fn planned(objects: Vec<Object>) -> (Design, String) {
    planned_with(objects, &StartsAndFinishes::default())
}

fn planned_with(objects: Vec<Object>, settings: &StartsAndFinishes) -> (Design, String) {
    let design = Design {
        title: "Owl".to_owned(),
        ..Design::on_page(100., 100., objects)
    };
    let all: Vec<usize> = (0..design.objects.len()).collect();
    messages::take();
    let done = starts_and_finishes(design, &all, settings);
    let says = messages::take()
        .pop()
        .map_or_else(String::new, |f| f.message);
    (done.expect("it never fails"), says)
}

fn gap(design: &Design, first: usize) -> f64 {
    let finish = design.objects[first].sewing.finish.expect("it is chosen");
    let start = design.objects[first + 1]
        .sewing
        .start
        .expect("it is chosen");
    distance(finish.into(), start.into())
}

#[test]
fn in_a_row_of_touching_squares_nothing_lies_open() {
    let row = (0..5).map(|i| square(&format!("s{i}"), 0, f64::from(i) * 10., 0., 10.));
    let (done, says) = planned(row.collect());
    for i in 0..4 {
        assert!(gap(&done, i) < 1e-6, "{}", gap(&done, i));
    }
    assert!(
        says.contains("0 want a trim") && says.contains("0.0 mm"),
        "{says}"
    );
}

#[test]
fn two_squares_apart_are_joined_under_a_later_one_and_cut_without_it() {
    let (left, right) = (square("a", 0, 0., 0., 10.), square("b", 0, 20., 0., 10.));
    let (_, says) = planned(vec![left.clone(), right.clone()]);
    assert!(says.contains("1 want a trim"), "{says}");
    let over = square("over", 1, 5., 0., 20.);
    let (_, says) = planned(vec![left.clone(), right.clone(), over.clone()]);
    assert!(
        says.contains("1 lie under") && says.contains("0 want a trim"),
        "{says}"
    );
    // What is sewn before hides nothing.
    let (_, says) = planned(vec![over, left, right]);
    assert!(says.contains("1 want a trim"), "{says}");
}

/// Finer lines are runs in some pipelines and satin in others, and only satin hides.
#[test]
fn a_way_beneath_a_line_is_hidden_from_the_width_that_is_set() {
    let (left, right) = (square("a", 0, 0., 0., 10.), square("b", 0, 20., 0., 10.));
    let line = geo::LineString::from(vec![(8., 5.), (22., 5.)]);
    let line = Object::of_line("line", &line, 0.9);
    for (line_hides_from, trims) in [(1.0, 1), (0.9, 0)] {
        let settings = StartsAndFinishes {
            line_hides_from,
            ..StartsAndFinishes::default()
        };
        let mut over = line.clone();
        over.thread = 1;
        let (_, says) = planned_with(vec![left.clone(), right.clone(), over], &settings);
        let wants = format!("{trims} want a trim");
        assert!(says.contains(&wants), "from {line_hides_from}: {says}");
    }
}

#[test]
fn only_starts_and_finishes_change_and_those_that_are_set_stay() {
    let mut first = square("a", 0, 0., 0., 10.);
    first.sewing.finish = Some(Point { x: 0., y: 5. });
    let objects = vec![first, square("b", 0, 20., 0., 10.)];
    let (done, _) = planned(objects.clone());
    assert_eq!(done.objects[0].sewing.finish, Some(Point { x: 0., y: 5. }));
    for (mut after, before) in done.objects.into_iter().zip(objects) {
        after.sewing.start = before.sewing.start;
        after.sewing.finish = before.sewing.finish;
        assert_eq!(after, before);
    }
}

fn region(id: &str, area: geo::Polygon<f64>) -> Object {
    Object::of_region(id, &area.into())
}

fn circle(x: f64, y: f64, radius: f64) -> geo::LineString<f64> {
    let corners = (0..72).map(|i| {
        let (sin, cos) = f64::from(i * 5).to_radians().sin_cos();
        (x + radius * cos, y + radius * sin)
    });
    corners.collect::<Vec<_>>().into()
}

fn disc(id: &str, x: f64, y: f64, radius: f64) -> Object {
    region(id, geo::Polygon::new(circle(x, y, radius), vec![]))
}

fn ring(id: &str, at: (f64, f64), outer: f64, inner: f64) -> Object {
    let hole = circle(at.0, at.1, inner);
    region(id, geo::Polygon::new(circle(at.0, at.1, outer), vec![hole]))
}

/// A column that runs all the way round comes back to where it began (the manual of `satin-column`).
#[test]
fn a_ring_of_satin_ends_where_it_began() {
    let between_discs = || {
        vec![
            disc("left", 20.6, 30., 1.),
            ring("ring", (30., 30.), 8., 5.5),
            disc("right", 39.4, 30., 1.),
        ]
    };
    let (done, _) = planned(between_discs());
    let sewing = &done.objects[1].sewing;
    assert!(sewing.start.is_some());
    assert_eq!(sewing.start, sewing.finish);
    // So it does where only its start is set.
    let mut objects = between_discs();
    objects[1].sewing.start = Some(Point { x: 30., y: 22. });
    let (done, _) = planned(objects);
    let sewing = &done.objects[1].sewing;
    assert_eq!(sewing.finish, Some(Point { x: 30., y: 22. }));
    // A fill of the same outline ends anywhere.
    let mut objects = between_discs();
    objects[1] = ring("ring", (30., 30.), 8., 1.);
    let (done, _) = planned(objects);
    let sewing = &done.objects[1].sewing;
    assert_ne!(sewing.start, sewing.finish);
}

fn bar(id: &str, x: f64, y: f64, width: f64, height: f64) -> Object {
    region(
        id,
        polygon![
            (x: x, y: y), (x: x + width, y: y), (x: x + width, y: y + height), (x: x, y: y + height)
        ],
    )
}

/// Columns are sewn out to the true edges and ends of their region (the manual of `satin-column`), so
/// that bars 2.5 mm apart leave 2.5 mm open.
#[test]
fn satin_bars_end_at_the_edge_of_their_shape() {
    let bars = vec![bar("a", 10., 10., 20., 4.), bar("b", 32.5, 10., 20., 4.)];
    let (done, says) = planned(bars);
    let finish = done.objects[0].sewing.finish.expect("it is chosen");
    assert!(
        (finish.x - 30.).abs() < 1e-6 && (finish.y - 12.).abs() < 0.05,
        "{finish:?}"
    );
    assert!((gap(&done, 0) - 2.5).abs() < 0.05, "{}", gap(&done, 0));
    assert!(
        says.contains("0 want a trim") && says.contains("2.5 mm"),
        "{says}"
    );
}

/// Two squares at either side of a ring sewn later: 36 mm straight over its hole, half round the hole at
/// least 18 pi = 57 mm.
#[test]
fn a_way_over_a_hole_is_not_hidden() {
    let squares = |over: Object| {
        let mut over = over;
        over.thread = 1;
        vec![bar("a", 4., 27., 8., 6.), bar("b", 48., 27., 8., 6.), over]
    };
    let planned_with = |objects: Vec<Object>, hidden_travel: f64| {
        let design = Design::on_page(100., 100., objects);
        let settings = StartsAndFinishes {
            hidden_travel,
            ..StartsAndFinishes::default()
        };
        messages::take();
        starts_and_finishes(design, &[0, 1, 2], &settings).expect("it never fails");
        messages::take()
            .pop()
            .map_or_else(String::new, |f| f.message)
    };
    let over = ring("over", (30., 30.), 21., 18.);
    let says = planned_with(squares(over.clone()), 45.0);
    assert!(
        says.contains("0 lie under") && says.contains("1 want a trim"),
        "{says}"
    );
    let says = planned_with(squares(over), 70.0);
    assert!(says.contains("1 lie under"), "{says}");
    let says = planned_with(squares(disc("over", 30., 30., 21.)), 45.0);
    assert!(says.contains("1 lie under"), "{says}");
}

/// Two lines whose far ends lie 20 mm apart over a bay of what is sewn later, 57 mm and more along it, and
/// whose near ends lie 4 mm apart in the open.
#[test]
fn a_short_open_way_is_taken_where_the_hidden_one_is_too_long() {
    let line = |id: &str, from: (f64, f64), to: (f64, f64)| {
        Object::of_line(id, &geo::LineString::from(vec![from, to]), 0.4)
    };
    let bay = geo::LineString::from(vec![
        (-1., 29.),
        (3., 29.),
        (3., 57.),
        (17., 57.),
        (17., 29.),
        (21., 29.),
        (21., 60.),
        (-1., 60.),
    ]);
    let mut over = region("over", geo::Polygon::new(bay, vec![]));
    over.thread = 1;
    let lines = [
        line("a", (8., 0.), (0., 30.)),
        line("b", (12., 0.), (20., 30.)),
    ];
    let (_, says) = planned(lines.iter().cloned().chain([over]).collect());
    assert!(
        says.contains("0 lie under") && says.contains("0 want a trim") && says.contains("4.0 mm"),
        "{says}"
    );
    let mut bridge = bar("bridge", -1., 29., 22., 4.);
    bridge.thread = 1;
    let (_, says) = planned(lines.into_iter().chain([bridge]).collect());
    assert!(
        says.contains("1 lie under") && says.contains("0.0 mm"),
        "{says}"
    );
}

/// A design of two objects of thousands of lines each is planned as any other.
#[test]
fn thousands_of_lines_are_not_too_many() {
    let hatch = |id: &str, x: f64| {
        let lines = (0..2000).map(|i| {
            let y = f64::from(i) * 0.05;
            Polyline::new([x, x + 10.].map(|x| Coord { x, y }), false)
        });
        let mut object = Object::of_line(id, &geo::LineString::from(vec![(0., 0.), (1., 0.)]), 0.4);
        let Shape::Lines(shape) = &mut object.shape else {
            unreachable!("it was made of a line");
        };
        shape.paths = lines.collect();
        object
    };
    let (done, _) = planned(vec![hatch("a", 0.), hatch("b", 11.)]);
    assert!((gap(&done, 0) - 1.).abs() < 1e-9, "{}", gap(&done, 0));
}
