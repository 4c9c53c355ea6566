//! Columns against exact values: closed forms of the medial axes of simple shapes (H. Blum, 1967,
//! defines the axis; the forms follow from it by hand), to which satin is square, and the widths of
//! those shapes, which its stitches have.

use super::shapes::{ellipse, rectangle, region, ring, ring_of};
use crate::columns::strands_of_object;
use crate::crossings::{Crossing, crossings};
use crate::pull::Pull;
use crate::taper::Widths;
use geo::LineString;
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;
use std::f64::consts::TAU;

const DENSITY: f64 = 0.4;
const COMPENSATION: f64 = 0.2;

/// The crossings of an object that is a single column, with its defaults.
fn crossings_of(object: &Object) -> Vec<Crossing> {
    let pull = Pull::new(COMPENSATION, COMPENSATION, 0.0);
    let (strands, findings) =
        strands_of_object(object, Widths::default(), pull, 7.0).expect("something to sew");
    assert!(findings.is_empty() && strands.len() == 1);
    let column = &strands[0].column;
    assert_eq!(column.sections.len(), 1);
    crossings(&column.sections[0], DENSITY, column.pull)
}

/// By how many degrees a crossing is off a direction, whichever way it goes.
fn degrees_off(crossing: &Crossing, direction: Coord<f64>) -> f64 {
    let across = crossing.right - crossing.left;
    let sine = (across.x * direction.y - across.y * direction.x)
        / (crossing.length() * distance(direction, Coord::zero()));
    sine.abs().min(1.0).asin().to_degrees()
}

/// Each crossing within 5 degrees of square to the axis, and as long as the shape is wide there
/// plus the compensation, to 0.05 mm.
fn check(name: &str, crossings: &[Crossing], exact: impl Fn(Coord<f64>) -> (Coord<f64>, f64)) {
    let (mut off, mut wrong) = (0.0_f64, 0.0_f64);
    for crossing in crossings {
        let middle = (crossing.left + crossing.right) / 2.0;
        let (direction, width) = exact(middle);
        off = off.max(degrees_off(crossing, direction));
        wrong = wrong.max((crossing.length() - width - 2.0 * COMPENSATION).abs());
    }
    println!(
        "{name}: {} crossings, at most {off:.2} degrees and {wrong:.4} mm off",
        crossings.len()
    );
    assert!(off < 5.0, "{name}: {off} degrees");
    assert!(wrong < 0.05, "{name}: {wrong} mm");
}

/// Needle points of one edge, which are every other crossing's, lie a density apart, to 10 %.
fn check_spacing(name: &str, crossings: &[Crossing], edge: impl Fn(&Crossing) -> Coord<f64>) {
    for (i, pair) in crossings.windows(3).enumerate() {
        let spacing = distance(edge(&pair[0]), edge(&pair[2]));
        assert!(
            (spacing - DENSITY).abs() < 0.1 * DENSITY,
            "{name}: {spacing} at crossing {i}"
        );
    }
}

const UPRIGHT: Coord<f64> = Coord { x: 0.0, y: 1.0 };

/// Ring of radii 4 and 10: the axis is the circle of radius 7 at half-width 3, so that crossings
/// lie along the radii, 6 mm long.
#[test]
fn a_ring_is_crossed_along_its_radii() {
    let crossings = crossings_of(&Object::of_region("ring", &ring(4.0, 10.0)));
    check("ring", &crossings, |middle| (middle, 6.0));
    let outer = |crossing: &Crossing| {
        let far = |p: Coord<f64>| distance(p, Coord::zero());
        let (left, right) = (crossing.left, crossing.right);
        let outer = if far(left) > far(right) { left } else { right };
        // The density is that of the shape's edge, without the compensation.
        outer * (10.0 / 10.2)
    };
    check_spacing("ring", &crossings, outer);
}

/// Rectangle of 30 x 5: the axis of a long rectangle runs along its middle; beyond its end,
/// into the corners, satin goes straight on.
#[test]
fn a_rectangle_is_crossed_square() {
    for (width, height) in [(30.0, 5.0), (20.0, 3.0), (12.0, 2.0)] {
        let crossings = crossings_of(&Object::of_region("bar", &rectangle(width, height)));
        check("rectangle", &crossings, |_| (UPRIGHT, height));
        check_spacing("rectangle", &crossings, |crossing| crossing.left);
        check_spacing("rectangle", &crossings, |crossing| crossing.right);
    }
}

/// Dots drawn alike look alike: level, however their outlines' corners lie, and though they are a
/// hair longer one way.
#[test]
fn discs_are_crossed_level_wherever_their_corners_lie() {
    const LEVEL: Coord<f64> = Coord { x: 1.0, y: 0.0 };
    for (corners, longer) in [(64, 1.0), (64, 1.03), (33, 1.0), (20, 1.0)] {
        for phase in [0.0, 0.1, 0.25, 0.37, 0.5, 0.8] {
            let disc = ring_of((0..corners).map(|i| {
                let (sin, cos) = (TAU * (f64::from(i) + phase) / f64::from(corners)).sin_cos();
                (2.0 * cos, 2.0 * longer * sin)
            }));
            let crossings = crossings_of(&Object::of_region("dot", &region([disc])));
            for crossing in crossings.iter().filter(|crossing| crossing.length() > 1.5) {
                let off = degrees_off(crossing, LEVEL);
                assert!(off < 8.0, "{corners} corners, {phase}: {off} degrees");
            }
        }
    }
    // What is seen to be longer is crossed square to its length.
    let egg = region([ellipse(0.0, 0.0, 2.0, 2.15)]);
    let wide = region([ellipse(0.0, 0.0, 2.15, 2.0)]);
    for (area, direction) in [(egg, LEVEL), (wide, UPRIGHT)] {
        for crossing in crossings_of(&Object::of_region("egg", &area)) {
            assert!(crossing.length() < 1.5 || degrees_off(&crossing, direction) < 8.0);
        }
    }
}

/// Ellipse of half-axes a and b: the axis is the stretch |x| <= (a² - b²) / a of the long axis, and
/// what is square to it is 2 b sqrt(1 - x²/a²) long. At the tips, which are round, where that falls
/// under 0.36 mm, crossings keep the least length that can be sewn.
#[test]
fn an_ellipse_is_crossed_square_to_its_long_axis() {
    for (a, b) in [(10.0, 5.0), (12.0, 3.0), (8.0, 4.0)] {
        let area = region([ellipse(0.0, 0.0, a, b)]);
        let crossings = crossings_of(&Object::of_region("ellipse", &area));
        let chord = |x: f64| 2.0 * b * (1.0 - x * x / (a * a)).max(0.0).sqrt();
        check("ellipse", &crossings, |middle| {
            (UPRIGHT, chord(middle.x).max(0.36))
        });
    }
}

/// Narrow bars keep the asked density, to 10 %, and are sewn about 1 mm wide instead (the narrowest
/// satin of the trade is 0.8 to 1 mm wide, common practice), but no more than 0.2 mm wider to each
/// side than drawn and compensated.
#[test]
fn narrow_bars_are_sewn_wider_and_no_more_openly() {
    for (compensation, narrowest) in [(0.0, 7), (0.1, 5), (0.2, 3)] {
        for width in (narrowest..=12).map(|tenths| f64::from(tenths) / 10.0) {
            let object = Object::of_region("bar", &rectangle(20.0, width));
            let pull = Pull::new(compensation, compensation, 0.0);
            let (strands, _) =
                strands_of_object(&object, Widths::default(), pull, 7.0).expect("a bar");
            let column = &strands[0].column;
            let crossings = crossings(&column.sections[0], DENSITY, column.pull);
            // The first and the last lie on the ends' own edges.
            let inner = &crossings[2..crossings.len() - 2];
            check_spacing(&format!("bar of {width}"), inner, |crossing| crossing.left);
            let own = width + 2.0 * compensation;
            for crossing in inner {
                let sewn = crossing.length();
                assert!(
                    sewn >= own - 1e-6 && sewn <= own + 0.4 + 1e-6,
                    "{width} {sewn}"
                );
                assert!(sewn >= 1.0, "{width} {compensation}: {sewn}");
                let middle = (crossing.left.y + crossing.right.y) / 2.0;
                assert!((middle - width / 2.0).abs() < 1e-6, "{middle}");
            }
        }
    }
}

/// A point of 55 mm that is 7 mm wide at its foot is covered into its last mm, and where it is under
/// 0.2 mm wide, over the last 1.6 mm, one thread along its middle, 0.25 mm wide, hides it.
#[test]
fn a_point_is_sewn_up_to_its_tip() {
    let ring = super::shapes::ring_of([(0.0, 0.0), (55.0, 3.5), (0.0, 7.0)]);
    let area = region([ring]);
    let stitches = super::sew_region(&area);
    let tip = Coord { x: 55.0, y: 3.5 };
    let last = region([super::shapes::ring_of([
        (39.0, 2.482),
        (55.0, 3.5),
        (39.0, 4.518),
    ])]);
    let share = super::coverage::covered(&last, &stitches);
    assert!(share > 0.99, "{share}");
    let nearest = stitches
        .iter()
        .map(|stitch| distance(stitch.at, tip))
        .fold(f64::MAX, f64::min);
    assert!(nearest < 0.6, "{nearest}");
    // Elsewhere the zigzag keeps its density: from 1 mm of width on, 15.7 mm before the tip.
    let points = stitches
        .iter()
        .filter(|stitch| stitch.role == StitchRole::Cover && (39.5..53.0).contains(&stitch.at.x));
    let per_mm = points.count() as f64 / 13.5;
    assert!(
        (per_mm - 2.0 / DENSITY).abs() < 0.1 * 2.0 / DENSITY,
        "{per_mm}"
    );
}

/// An arc of radius 20, drawn 4 mm wide: crossings along the radii, 4 mm long.
#[test]
fn an_arc_is_crossed_along_its_radii() {
    let arc: LineString<f64> = (0..=180)
        .map(|i| (f64::from(i) / 2.0).to_radians())
        .map(|t| (20.0 * t.cos(), 20.0 * t.sin()))
        .collect::<Vec<_>>()
        .into();
    let drawn = Object::of_line("arc", &arc, 4.0);
    // The same arc as a region with square ends.
    let side = |r: f64| arc.0.iter().map(move |c| (c.x * r / 20.0, c.y * r / 20.0));
    let ring =
        super::shapes::ring_of(side(22.0).chain(side(18.0).collect::<Vec<_>>().into_iter().rev()));
    let filled = Object::of_region("arc", &region([ring]));
    for object in [drawn, filled] {
        let crossings = crossings_of(&object);
        check("arc", &crossings, |middle| (middle, 4.0));
        let far = |p: Coord<f64>| distance(p, Coord::zero());
        check_spacing("arc", &crossings, |crossing| {
            let (left, right) = (crossing.left, crossing.right);
            let outer = if far(left) > far(right) { left } else { right };
            outer * (22.0 / 22.2)
        });
    }
}

/// A line of 30 mm that tapers from 6 to 1 mm is 6 - x/6 mm wide at x.
#[test]
fn a_tapered_line_is_as_wide_as_it_should_be() {
    let line: LineString<f64> = vec![(0.0, 0.0), (30.0, 0.0)].into();
    let widths = Widths {
        throughout: None,
        at_start: Some(6.0),
        at_end: Some(1.0),
    };
    let pull = Pull::new(COMPENSATION, COMPENSATION, 0.0);
    let object = Object::of_line("tail", &line, 2.0);
    let (strands, _) = strands_of_object(&object, widths, pull, 7.0).expect("a column");
    let column = &strands[0].column;
    let crossings = crossings(&column.sections[0], DENSITY, column.pull);
    check("taper", &crossings, |middle| {
        (UPRIGHT, 6.0 - middle.x / 6.0)
    });
}

/// The width of 6 mm is compensated by 0.1 mm on the left, 0.4 mm on the right, and 5 percent of
/// the width, half on each side: 6 + 0.5 + 0.3 mm.
#[test]
fn compensation_adds_up() {
    let line: LineString<f64> = vec![(0.0, 0.0), (30.0, 0.0)].into();
    let settings = crate::SatinColumn {
        pull_compensation_left: Some(0.1),
        pull_compensation_right: Some(0.4),
        pull_compensation_percent: 5.0,
        ..crate::SatinColumn::default()
    };
    let reach = |object: Object| {
        let (stitches, _) = super::sew(object, &settings);
        let ys = stitches.iter().map(|stitch| stitch.at.y);
        (ys.clone().fold(0.0, f64::min), ys.fold(0.0, f64::max))
    };
    // With y down, going to the right, the left edge is the upper one.
    let drawn = reach(Object::of_line("line", &line, 6.0));
    assert!(
        (drawn.0 + 3.25).abs() < 0.01 && (drawn.1 - 3.55).abs() < 0.01,
        "{drawn:?}"
    );
    // Gone the other way, it is the lower one.
    let back = reach(Object::of_line(
        "line",
        &line.0.iter().rev().copied().collect(),
        6.0,
    ));
    assert!(
        (back.0 + 3.55).abs() < 0.01 && (back.1 - 3.25).abs() < 0.01,
        "{back:?}"
    );
    // A region counts as going to the right.
    let filled = reach(Object::of_region("bar", &rectangle(30.0, 6.0)));
    assert!(
        (filled.0 + 0.25).abs() < 0.01 && (filled.1 - 6.55).abs() < 0.01,
        "{filled:?}"
    );
}

/// The left edge of a ring is its outer one: from 4 to 10 mm with 0.1 and 0.5 mm it reaches from
/// 3.5 to 10.1 mm.
#[test]
fn the_left_of_a_ring_is_outside() {
    let settings = crate::SatinColumn {
        pull_compensation_left: Some(0.1),
        pull_compensation_right: Some(0.5),
        short_stitches: false,
        ..crate::SatinColumn::default()
    };
    let (stitches, _) = super::sew(Object::of_region("ring", &ring(4.0, 10.0)), &settings);
    let radii = stitches
        .iter()
        .map(|stitch| distance(stitch.at, Coord::zero()));
    let (least, most) = (
        radii.clone().fold(f64::MAX, f64::min),
        radii.fold(0.0, f64::max),
    );
    assert!(
        (least - 3.5).abs() < 0.02 && (most - 10.1).abs() < 0.02,
        "{least} {most}"
    );
}

/// A mitred right angle of a region: every crossing of both arms is square to its arm, to 5
/// degrees, out of the reach of short stitches.
#[test]
fn a_mitred_corner_is_square_on_both_arms() {
    let area = super::shapes::l_bend();
    let pull = Pull::new(COMPENSATION, COMPENSATION, 0.0);
    let object = Object::of_region("l", &area);
    let (strands, _) = strands_of_object(&object, Widths::default(), pull, 7.0).expect("a column");
    assert_eq!(strands.len(), 1);
    assert_eq!(strands[0].column.sections.len(), 2);
    for section in &strands[0].column.sections {
        for crossing in crossings(section, DENSITY, pull) {
            let level = (crossing.left.y - crossing.right.y).abs()
                < (crossing.left.x - crossing.right.x).abs();
            let square = if level {
                Coord { x: 1.0, y: 0.0 }
            } else {
                UPRIGHT
            };
            assert!(degrees_off(&crossing, square) < 5.0, "{crossing:?}");
        }
    }
}
