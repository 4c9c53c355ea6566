//! Fills that follow the object's direction marks, or rays from a centre.

use crate::measures::{Move, covered, from_segment, jumps, length_of, moves, strays_by};
use crate::shapes::*;
use hoopwright_region_fill::{Follow, RegionFill, Underlay};
use hoopwright_sdk::geometry::area::difference;
use hoopwright_sdk::geometry::clean;
use hoopwright_sdk::geometry::geo::{Area, Coord, LineString, MultiPolygon, Polygon};
use hoopwright_sdk::{DirectionMark, Object, Point, Severity, Stitch, StitchRole, stitches_of};
use std::f64::consts::TAU;

const PULL: f64 = 0.15;

fn settings(follow: Follow) -> RegionFill {
    RegionFill {
        follow,
        underlay: Underlay::None,
        pull_compensation: PULL,
        ..RegionFill::default()
    }
}

/// A mark 4 mm long around a place.
fn mark(x: f64, y: f64, angle: f64) -> DirectionMark {
    let (sin, cos) = angle.to_radians().sin_cos();
    let end = |by: f64| Point {
        x: x + by * cos,
        y: y - by * sin,
    };
    DirectionMark {
        tail: end(-2.0),
        head: end(2.0),
    }
}

fn sewn(area: &MultiPolygon<f64>, marks: &[DirectionMark], settings: &RegionFill) -> Vec<Stitch> {
    let mut object = Object::of_region("wing", area);
    object.sewing.direction_marks = marks.to_vec();
    let (object, findings) = sew(object, settings);
    assert!(findings.is_empty(), "{findings:?}");
    stitches_of(&object.stitches).collect()
}

/// What must hold whatever the shape. The thread is 0.25 mm wide and spreads by 0.1 mm at each side
/// (as in `published_values`).
fn check(name: &str, area: &MultiPolygon<f64>, stitches: &[Stitch]) {
    assert_eq!(jumps(stitches), 0, "{name}");
    let all = moves(stitches);
    for m in &all {
        let (length, strays) = (m.length(), strays_by(m, area));
        let (from, to) = (m.from, m.to);
        assert!(length <= 4.0 + 1e-6, "{name}: {length} mm, {from:?}");
        assert!(length >= 0.3, "{name}: {length} mm, {from:?} {to:?}");
        assert!(
            strays <= PULL + 0.2,
            "{name}: strays by {strays} mm, {from:?} {to:?}"
        );
    }
    let shorter = |than: f64| all.iter().filter(|m| m.length() < than).count();
    // Where the region itself bends sharply; the contract refuses only what is under 0.3 mm.
    assert!(shorter(0.5) <= 2, "{name}: {} under 0.5 mm", shorter(0.5));
    // One in a hundred over many regions together; one in eighty in each.
    assert!(
        shorter(1.0) * 80 <= all.len(),
        "{name}: {} of {} under 1 mm",
        shorter(1.0),
        all.len()
    );
    let share = covered(area, &cover(stitches), 0.45);
    let ratio = length_of(stitches, StitchRole::Cover) * 0.2 / area.unsigned_area();
    println!("{name}: {:.2} % covered, length {ratio:.3}", share * 100.0);
    assert!(share >= 0.995, "{name}: {share} covered");
    assert!(ratio <= 1.15, "{name}: {ratio} times the length");
}

fn cover(stitches: &[Stitch]) -> Vec<Move> {
    let mut cover = moves(stitches);
    cover.retain(|m| m.role == StitchRole::Cover);
    cover
}

/// By how many degrees a move turns from a direction or its opposite.
fn turns_by(m: &Move, x: f64, y: f64) -> f64 {
    let d = m.to - m.from;
    let across = (d.x * y - d.y * x).abs();
    let along = (d.x * x + d.y * y).abs();
    across.atan2(along).to_degrees()
}

/// From turn to turn, what is longer than 5 mm: the two ends lean to the neighbouring lines.
fn lines(stitches: &[Stitch]) -> Vec<Move> {
    let mut lines: Vec<Move> = Vec::new();
    for m in cover(stitches) {
        match lines.last_mut() {
            Some(line)
                if line.to == m.from
                    && turns_by(&m, line.to.x - line.from.x, line.to.y - line.from.y) < 15.0
                    && (m.to - m.from).x * (line.to - line.from).x
                        + (m.to - m.from).y * (line.to - line.from).y
                        > 0.0 =>
            {
                line.to = m.to;
            }
            _ => lines.push(m),
        }
    }
    lines.retain(|line| line.length() > 5.0);
    lines
}

fn s_shape() -> MultiPolygon<f64> {
    let side = |sign: f64| {
        (0..=60).map(move |i| {
            let t = f64::from(i) / 60.0;
            let (sin, cos) = (TAU * t).sin_cos();
            let (dx, dy) = (40.0_f64, 10.0 * TAU * cos);
            let out = sign * 4.0 / dx.hypot(dy);
            (40.0 * t - dy * out, 10.0 * sin + dx * out)
        })
    };
    let corners: Vec<(f64, f64)> = side(1.0)
        .chain(side(-1.0).collect::<Vec<_>>().into_iter().rev())
        .collect();
    clean(&solid(&corners))
}

fn three_holes() -> MultiPolygon<f64> {
    let outer = ring(&[(0., 0.), (40., 0.), (40., 25.), (0., 25.)]);
    let holes = vec![
        circle(10., 8., 4.),
        circle(28., 14., 6.),
        circle(14., 19., 3.),
    ];
    Polygon::new(outer, holes).into()
}

/// Five arms and a hole.
fn star() -> MultiPolygon<f64> {
    let arms = (0..10).map(|i| {
        let radius = if i % 2 == 0 { 20.0 } else { 9.0 };
        let (sin, cos) = (TAU * f64::from(i) / 10.0).sin_cos();
        Coord {
            x: radius * cos,
            y: radius * sin,
        }
    });
    Polygon::new(arms.collect(), vec![circle(2., 1., 3.)]).into()
}

/// The lines keep to the marks: every stitch that passes a mark's middle within 1 mm.
#[test]
fn flow_turns_from_mark_to_mark() {
    let area = rectangle(40.0, 20.0);
    let marks = [mark(8., 10., 30.), mark(32., 10., -30.)];
    let stitches = sewn(&area, &marks, &settings(Follow::Marks));
    check("rectangle", &area, &stitches);
    for (mark, x) in marks.iter().zip([8.0, 32.0]) {
        let middle = Coord { x, y: 10.0 };
        let mut near = cover(&stitches);
        near.retain(|m| from_segment(middle, m.from, m.to) < 1.0 && m.length() > 1.5);
        assert!(near.len() >= 8, "{}", near.len());
        for m in &near {
            let turns = turns_by(m, mark.head.x - mark.tail.x, mark.head.y - mark.tail.y);
            assert!(turns < 5.0, "{turns} degrees at {:?}", m.from);
        }
    }
    // Half way between the two, the lines lie level.
    let level = |m: &&Move| (m.from.x + m.to.x - 40.0).abs() < 2.0 && m.length() > 1.0;
    for m in cover(&stitches).iter().filter(level) {
        assert!(turns_by(m, 1.0, 0.0) < 8.0, "{:?}", m.from);
    }
}

#[test]
fn one_mark_gives_straight_lines() {
    let area = three_holes();
    let stitches = sewn(&area, &[mark(3., 3., 20.)], &settings(Follow::Marks));
    check("straight", &area, &stitches);
    let (sin, cos) = 20.0_f64.to_radians().sin_cos();
    let long: Vec<Move> = cover(&stitches)
        .into_iter()
        .filter(|m| m.length() > 2.5)
        .collect();
    let straight = long.iter().filter(|m| turns_by(m, cos, -sin) < 6.0).count();
    assert!(straight * 100 > long.len() * 98);
}

/// The straight rows of the region, when there is nothing to follow.
#[test]
fn without_marks_the_rows_are_straight() {
    let area = rectangle(20.0, 10.0);
    assert_eq!(
        sewn(&area, &[], &settings(Follow::Marks)),
        sewn(&area, &[], &settings(Follow::Rows))
    );
}

#[test]
fn flow_covers_shapes_of_all_kinds() {
    let cases: [(&str, MultiPolygon<f64>, Vec<DirectionMark>); 5] = [
        (
            "S",
            s_shape(),
            vec![mark(4., 6., 40.), mark(20., 0., -50.), mark(36., -6., 40.)],
        ),
        (
            "ring",
            annulus(),
            vec![
                mark(7., 0., 90.),
                mark(-7., 0., 90.),
                mark(0., 7., 0.),
                mark(0., -7., 0.),
            ],
        ),
        (
            "star",
            holed_star(),
            vec![mark(-10., 0., 20.), mark(10., 0., -60.)],
        ),
        (
            "comb",
            comb(),
            vec![mark(3., 12., 80.), mark(20., 12., 20.), mark(26., 2., -20.)],
        ),
        (
            "three holes",
            three_holes(),
            vec![mark(3., 3., 45.), mark(36., 4., 0.), mark(20., 20., -45.)],
        ),
    ];
    for (name, area, marks) in cases {
        let stitches = sewn(&area, &marks, &settings(Follow::Marks));
        check(name, &area, &stitches);
    }
}

/// Numbers from 0 to 1 (D. Knuth's linear congruential generator, MMIX).
struct Numbers(u64);

impl Numbers {
    fn next(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as f64 / (1u64 << 31) as f64
    }

    fn between(&mut self, least: f64, most: f64) -> f64 {
        least + (most - least) * self.next()
    }
}

/// A ragged star with up to three round holes, which may cut its edge, and two to four marks.
fn ragged(numbers: &mut Numbers) -> (MultiPolygon<f64>, Vec<DirectionMark>) {
    let corners = 5 + numbers.between(0.0, 12.0) as usize;
    let ring: LineString<f64> = (0..corners)
        .map(|i| {
            let (sin, cos) = (TAU * i as f64 / corners as f64).sin_cos();
            let radius = numbers.between(5.0, 22.0);
            Coord {
                x: radius * cos,
                y: radius * sin,
            }
        })
        .collect();
    let mut area = clean(&Polygon::new(ring, vec![]).into());
    for _ in 0..numbers.between(0.0, 4.0) as usize {
        let (x, y) = (numbers.between(-10., 10.), numbers.between(-10., 10.));
        let hole = Polygon::new(circle(x, y, numbers.between(0.8, 3.8)), vec![]);
        area = difference(&area, &hole.into());
    }
    let marks = (0..2 + numbers.between(0.0, 3.0) as usize)
        .map(|_| {
            let (x, y) = (numbers.between(-12., 12.), numbers.between(-12., 12.));
            mark(x, y, numbers.between(0.0, 180.0))
        })
        .collect();
    (clean(&area), marks)
}

#[test]
fn flow_covers_random_shapes_with_random_marks() {
    let mut numbers = Numbers(1);
    for case in 0..40 {
        let (area, marks) = ragged(&mut numbers);
        for polygon in area.0 {
            // Less than that are crumbs that a hole has cut off.
            if polygon.unsigned_area() > 20.0 {
                let area = polygon.into();
                let stitches = sewn(&area, &marks, &settings(Follow::Marks));
                check(&format!("random {case}"), &area, &stitches);
            }
        }
    }
}

#[test]
fn rays_lead_away_from_the_centre() {
    let outside = DirectionMark {
        tail: Point { x: -8.0, y: 12.0 },
        head: Point { x: -4.0, y: 12.0 },
    };
    let cases = [
        ("disc", disc(), vec![], (0.0, 0.0)),
        ("ring", annulus(), vec![], (0.0, 0.0)),
        ("square", rectangle(20., 20.), vec![], (10.0, 10.0)),
        ("outside", rectangle(30., 20.), vec![outside], (-8.0, 12.0)),
    ];
    for (name, area, marks, (x, y)) in cases {
        let stitches = sewn(&area, &marks, &settings(Follow::Centre));
        let rays = lines(&stitches);
        assert!(rays.len() >= 50, "{name}: {}", rays.len());
        // A turn along the edge is none.
        let astray = rays.iter().filter(|m| {
            let middle = (m.from + m.to) / 2.0;
            turns_by(m, middle.x - x, middle.y - y) > 5.0
        });
        let astray = astray.count();
        assert!(
            astray * 50 <= rays.len(),
            "{name}: {astray} of {}",
            rays.len()
        );
        check(name, &area, &stitches);
    }
    check(
        "star",
        &star(),
        &sewn(&star(), &[], &settings(Follow::Centre)),
    );
}

#[test]
fn needle_points_do_not_crowd_at_the_centre() {
    for area in [disc(), rectangle(20., 20.), comb()] {
        let stitches = sewn(&area, &[], &settings(Follow::Centre));
        for a in &stitches {
            let near = |b: &&Stitch| (a.at.x - b.at.x).hypot(a.at.y - b.at.y) < 0.2;
            // The ends of three lines, and a way that passes them.
            assert!(stitches.iter().filter(near).count() <= 4, "{:?}", a.at);
        }
    }
}

#[test]
fn flow_keeps_start_and_finish() {
    let area = rectangle(30.0, 20.0);
    for (start, finish) in [((0., 0.), (30., 20.)), ((15., 20.), (0., 5.))] {
        for settings in [settings(Follow::Marks), settings(Follow::Centre)] {
            let mut object = Object::of_region("wing", &area);
            object.sewing.direction_marks = vec![mark(15., 8., 20.), mark(25., 8., -40.)];
            let point = |(x, y): (f64, f64)| Some(Point { x, y });
            (object.sewing.start, object.sewing.finish) = (point(start), point(finish));
            let (object, _) = sew(object, &settings);
            let stitches: Vec<Stitch> = stitches_of(&object.stitches).collect();
            let (first, last) = (&stitches[0], &stitches[stitches.len() - 1]);
            let away = |s: &Stitch, (x, y): (f64, f64)| (s.at.x - x).hypot(s.at.y - y);
            assert!(away(first, start) < 0.5, "{first:?} for {start:?}");
            assert!(away(last, finish) < 1.0, "{last:?} for {finish:?}");
        }
    }
}

/// Degenerate shapes are sewn as well, in straight rows where there is no room for others.
#[test]
fn flow_leaves_no_small_shape_empty() {
    let marks = [mark(0., 0., 30.), mark(3., 1., -30.)];
    for area in [
        rectangle(1.0, 1.0),
        rectangle(20.0, 0.4),
        rectangle(3.0, 1.4),
        solid(&[(0., 0.), (30., 0.2), (0., 0.4)]),
        solid(&[(0., 0.), (12., 1.), (0., 2.)]),
        comb(),
    ] {
        for follow in [Follow::Marks, Follow::Centre] {
            let mut object = Object::of_region("wing", &area);
            object.sewing.direction_marks = marks.to_vec();
            let (object, findings) = sew(object, &settings(follow));
            let small = area.unsigned_area() < 4.0;
            assert!(
                findings.len() <= 1 && (!small || findings.len() == 1),
                "{findings:?}"
            );
            for finding in findings {
                assert_eq!(finding.severity, Severity::Note);
                assert!(finding.message.contains("straight rows"));
            }
            let stitches: Vec<Stitch> = stitches_of(&object.stitches).collect();
            assert!(stitches.len() >= 2);
            assert_eq!(jumps(&stitches), 0);
            assert!(moves(&stitches).iter().all(|m| m.length() >= 0.3));
        }
    }
}

#[test]
fn flow_is_the_same_again() {
    let marks = [mark(-10., 0., 20.), mark(10., 0., -60.)];
    for follow in [Follow::Marks, Follow::Centre] {
        let once = sewn(&holed_star(), &marks, &settings(follow));
        assert_eq!(once, sewn(&holed_star(), &marks, &settings(follow)));
    }
}
