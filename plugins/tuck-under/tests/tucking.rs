//! Areas after tucking that can be worked out by hand, and what must never change: what shows.

use hoopwright_sdk::geometry::area::{difference, intersection, union};
use hoopwright_sdk::geometry::clean;
use hoopwright_sdk::geometry::geo::{Area, LineString, MultiPolygon, Polygon, polygon};
use hoopwright_sdk::geometry::offset::grow;
use hoopwright_sdk::prelude::*;
use hoopwright_sdk::{Severity, messages};
use hoopwright_tuck_under::{TuckUnder, tuck_under};
use proptest::prelude::*;

fn oblong(x: f64, y: f64, wide: f64, high: f64) -> MultiPolygon<f64> {
    polygon![(x: x, y: y), (x: x + wide, y: y), (x: x + wide, y: y + high), (x: x, y: y + high)]
        .into()
}

fn region(id: &str, area: &MultiPolygon<f64>) -> Object {
    Object::of_region(id, area)
}

fn tucked_with(objects: Vec<Object>, settings: &TuckUnder) -> Vec<Object> {
    let all: Vec<usize> = (0..objects.len()).collect();
    let design = Design::on_page(100., 100., objects);
    tuck_under(design, &all, settings)
        .expect("it works")
        .objects
}

fn tucked(objects: Vec<Object>) -> Vec<Object> {
    tucked_with(objects, &TuckUnder::default())
}

fn area(object: &Object) -> MultiPolygon<f64> {
    object.shape.area(0.0)
}

fn near(value: f64, expected: f64) {
    assert!((value - expected).abs() < 1e-3, "{value} is not {expected}");
}

/// Two halves of a flag: the one sewn first gains underlap times the length of the seam.
#[test]
fn the_first_of_two_goes_on_beneath_the_second() {
    let flag = vec![
        region("left", &oblong(0., 0., 10., 8.)),
        region("right", &oblong(10., 0., 12., 8.)),
    ];
    let sewn = tucked(flag.clone());
    near(area(&sewn[0]).unsigned_area(), 80.0 + 0.5 * 8.0);
    assert_eq!(sewn[1], flag[1]);
    let other_way = tucked(flag.into_iter().rev().collect());
    near(area(&other_way[0]).unsigned_area(), 96.0 + 0.5 * 8.0);
}

/// Each edge pulls in by 0.2 mm (common practice for firm woven cloth): without an underlap, 0.4 mm of
/// cloth shows along the seam.
#[test]
fn no_cloth_shows_where_both_edges_pull_in() {
    let flag = vec![
        region("left", &oblong(0., 0., 10., 8.)),
        region("right", &oblong(10., 0., 12., 8.)),
    ];
    let seam = oblong(9.7, 0.5, 0.6, 7.0);
    let bare = |objects: &[Object]| {
        let sewn = objects.iter().map(|object| grow(&area(object), -0.2));
        let cover = sewn.reduce(|a, b| union(&a, &b)).expect("two");
        difference(&seam, &cover).unsigned_area()
    };
    near(bare(&flag), 0.4 * 7.0);
    near(bare(&tucked(flag)), 0.0);
}

#[test]
fn a_narrow_gap_is_closed_and_a_wide_one_is_drawn_on_purpose() {
    let beside = |gap: f64| {
        tucked(vec![
            region("left", &oblong(0., 0., 10., 8.)),
            region("right", &oblong(10. + gap, 0., 12., 8.)),
        ])
    };
    let closed = area(&beside(0.03)[0]);
    assert_eq!(closed.0.len(), 1);
    // At either end of the gap a corner's rounding, within the gap's square, comes to it.
    let gained = closed.unsigned_area() - 80.0 - 0.5 * 8.0;
    assert!(
        (0.0..=2.0 * 0.05 * 0.05 + 1e-3).contains(&gained),
        "{gained}"
    );
    assert_eq!(area(&beside(0.1)[0]).unsigned_area(), 80.0);
}

/// What overlaps already goes on only as far as the underlap asks for in all.
#[test]
fn an_overlap_that_is_there_counts() {
    let overlapping = |by: f64| {
        let objects = vec![
            region("left", &oblong(0., 0., 10. + by, 8.)),
            region("right", &oblong(10., 0., 12., 8.)),
        ];
        area(&tucked(objects)[0]).unsigned_area() - 80.0
    };
    near(overlapping(0.2), 0.5 * 8.0);
    near(overlapping(0.5), 0.5 * 8.0);
    near(overlapping(0.9), 0.9 * 8.0);
}

#[test]
fn neighbours_at_a_corner_stay_as_they_are() {
    let chequers = vec![
        region("one", &oblong(0., 0., 10., 10.)),
        region("two", &oblong(10., 10., 10., 10.)),
    ];
    assert_eq!(tucked(chequers.clone()), chequers);
}

/// Rays of 32 wedges, of two colours in turn: around the middle, where a wedge is narrower than the
/// underlap, each would have all that come after it above it.
#[test]
fn tips_that_meet_do_not_heap_up() {
    let wedge = |number: usize| {
        let at = |number: usize| {
            let turn = std::f64::consts::TAU * number as f64 / 32.0;
            (45. + 42. * turn.cos(), 45. + 42. * turn.sin())
        };
        let ring = LineString::from(vec![(45., 45.), at(number), at(number + 1)]);
        MultiPolygon::from(Polygon::new(ring, Vec::new()))
    };
    let numbers = (0..32).step_by(2).chain((1..32).step_by(2));
    let rays: Vec<Object> = numbers
        .map(|number| region(&format!("ray-{number}"), &wedge(number)))
        .collect();
    let settings = TuckUnder {
        underlap: 0.3,
        ..TuckUnder::default()
    };
    let sewn = tucked_with(rays, &settings);
    let around = |inner: f64, outer: f64| {
        let middle = oblong(45. - outer, 45. - outer, 2. * outer, 2. * outer);
        let hole = oblong(45. - inner, 45. - inner, 2. * inner, 2. * inner);
        let ring = difference(&middle, &hole);
        let laid = sewn.iter().map(|ray| intersection(&area(ray), &ring));
        laid.map(|laid| laid.unsigned_area()).sum::<f64>() / ring.unsigned_area()
    };
    let heap = around(0.0, 1.5);
    assert!(heap < 1.1, "{heap} layers");
    // Farther out, each of the 32 seams has its underlap still.
    let beneath = 32.0 * 0.3 * 10.0 / (4.0 * (20.0 * 20.0 - 10.0 * 10.0));
    assert!(around(10.0, 20.0) > 1.0 + beneath, "{}", around(10.0, 20.0));
}

/// A saddle beneath a bar that runs over it aslant, and a second one along its lower edge: around the saddle's
/// corner the bars have a strip that a wedge parts from the saddle. It is a horn, 0.3 mm wide at most, and satin
/// would run into it. What stays beyond the saddle, opened by hand, is no more than corners.
#[test]
fn no_horn_sticks_out_around_a_corner() {
    let shape = |corners: &[(f64, f64)]| {
        MultiPolygon::from(Polygon::new(corners.to_vec().into(), Vec::new()))
    };
    let saddle = [
        (0.3, 2.05),
        (0.72, 2.01),
        (1.2, 1.85),
        (1.82, 0.3),
        (0.3, 0.3),
    ];
    let below = [
        (2.55, 2.24),
        (2.59, 1.51),
        (2.54, 1.26),
        (2.34, 0.92),
        (1.9, 1.46),
        (1.33, 1.87),
        (0.68, 2.09),
        (0.3, 2.13),
        (0.3, 2.6),
        (2.48, 2.6),
    ];
    let aslant = [
        (0.65, 2.28),
        (1.34, 2.08),
        (1.95, 1.71),
        (2.46, 1.18),
        (2.51, 1.08),
        (2.47, 0.87),
        (2.3, 0.74),
        (2.09, 0.78),
        (1.79, 1.11),
        (1.28, 1.49),
        (0.67, 1.71),
        (0.3, 1.75),
        (0.3, 2.31),
    ];
    let design = vec![
        region("saddle", &shape(&saddle)),
        region("below", &shape(&below)),
        region("aslant", &shape(&aslant)),
    ];
    let settings = TuckUnder {
        underlap: 0.3,
        ..TuckUnder::default()
    };
    let own = area(&tucked_with(design, &settings)[0]);
    let added = difference(&own, &shape(&saddle));
    let opened = grow(&grow(&own, -0.12), 0.12 + 0.01);
    let horns = difference(&added, &opened).unsigned_area();
    assert!(added.unsigned_area() > 0.1 && horns < 0.01, "{horns}");
}

/// Beneath a narrow stripe between two they go on as ever: nothing heaps up there.
#[test]
fn a_narrow_stripe_has_its_neighbours_beneath_it() {
    let sewn = tucked(vec![
        region("left", &oblong(0., 0., 10., 8.)),
        region("right", &oblong(10.6, 0., 10., 8.)),
        region("stripe", &oblong(10., 0., 0.6, 8.)),
    ]);
    for side in &sewn[..2] {
        near(area(side).unsigned_area(), 80.0 + 0.5 * 8.0);
    }
}

/// A disc that was cut out of a square without an underlap: the square gains the ring within the disc,
/// pi (5² - 4.5²).
#[test]
fn a_hole_shrinks_beneath_what_fills_it() {
    let disc = {
        let ring: LineString<f64> = (0..720)
            .map(|i| {
                let turn = f64::from(i).to_radians() / 2.0;
                (10. + 5. * turn.cos(), 10. + 5. * turn.sin())
            })
            .collect();
        MultiPolygon::from(hoopwright_sdk::geometry::geo::Polygon::new(
            ring,
            Vec::new(),
        ))
    };
    let ground = difference(&oblong(0., 0., 20., 20.), &disc);
    let sewn = tucked(vec![region("ground", &ground), region("disc", &disc)]);
    let gained = area(&sewn[0]).unsigned_area() - ground.unsigned_area();
    let ring = std::f64::consts::PI * (25.0 - 4.5 * 4.5);
    assert!(
        (gained - ring).abs() < 0.01 * ring,
        "{gained} is not {ring}"
    );
}

#[test]
fn only_what_hides_has_others_beneath_it() {
    let seam = LineString::from(vec![(10.4, -2.), (10.4, 10.)]);
    let with = |line_width: f64| {
        let objects = vec![
            region("left", &oblong(0., 0., 10., 8.)),
            Object::of_line("line", &seam, line_width),
        ];
        area(&tucked(objects)[0]).unsigned_area() > 80.5
    };
    assert!(!with(0.8), "a line finer than 1 mm hides nothing");
    assert!(with(1.2));
}

#[test]
fn tags_and_the_selection_leave_objects_out() {
    let mut flag = vec![
        region("left", &oblong(0., 0., 10., 8.)),
        region("right", &oblong(10., 0., 12., 8.)),
    ];
    let design = Design::on_page(100., 100., flag.clone());
    let after = tuck_under(design.clone(), &[1], &TuckUnder::default()).expect("it works");
    assert_eq!(after, design);
    for sheer in [0, 1] {
        flag[sheer].tags = vec!["sheer".to_owned()];
        let settings = TuckUnder {
            leave_out: vec!["sheer".to_owned()],
            ..TuckUnder::default()
        };
        assert_eq!(tucked_with(flag.clone(), &settings), flag);
        flag[sheer].tags.clear();
    }
}

#[test]
fn what_has_stitches_stays_with_a_warning() {
    let mut list = StitchList::new();
    for row in 0..40 {
        let y = f64::from(row) * 0.2;
        list.needle(StitchRole::Cover, Coord { x: 0., y });
        list.needle(StitchRole::Cover, Coord { x: 10., y });
    }
    let mut left = region("left", &oblong(0., 0., 10., 8.));
    left.stitches = list.into_blocks();
    let flag = vec![left, region("right", &oblong(10., 0., 12., 8.))];
    messages::take();
    assert_eq!(tucked(flag.clone()), flag);
    let warned = messages::take();
    assert!(warned.iter().any(|it| it.severity == Severity::Warning));
}

proptest! {
    /// Whatever lies beside whatever: nothing is lost, and nothing shows that did not, but within a gap.
    #[test]
    fn what_shows_stays(
        cells in proptest::collection::vec((0..5_u8, 0..5_u8, 1..4_u8, 1..4_u8, 0..3_u8), 2..9),
        underlap in 0.1..2.0_f64,
    ) {
        let objects: Vec<Object> = cells
            .iter()
            .enumerate()
            .map(|(number, &(x, y, wide, high, gap))| {
                let gap = f64::from(gap) * 0.02;
                let cell = oblong(
                    5. * f64::from(x) + gap,
                    5. * f64::from(y),
                    5. * f64::from(wide) - gap,
                    5. * f64::from(high),
                );
                region(&format!("cell-{number}"), &cell)
            })
            .collect();
        let settings = TuckUnder { underlap, ..TuckUnder::default() };
        let after = tucked_with(objects.clone(), &settings);
        for (place, (before, now)) in objects.iter().zip(&after).enumerate() {
            let (before, now) = (area(before), area(now));
            prop_assert!(difference(&before, &now).unsigned_area() < 1e-3);
            let later = objects[place + 1..].iter().map(area);
            let later = clean(&later.flatten().collect());
            // A corner may lie a thousandth of a mm off where areas are merged: along a long edge that
            // is a sliver, but no thread shows in it.
            let shows = difference(&difference(&now, &grow(&before, 0.001)), &later);
            let crack = grow(&later, settings.gap + 0.01);
            prop_assert!(difference(&shows, &crack).unsigned_area() < 1e-3);
            prop_assert!(difference(&now, &grow(&before, underlap + 0.02)).unsigned_area() < 1e-3);
            prop_assert!(intersection(&shows, &grow(&before, -0.01)).unsigned_area() < 1e-3);
        }
    }
}

/// Where an outline turns back on itself, so that satin would run along both sides of a slit: within half a
/// degree, with both legs over 0.3 mm.
fn turns_back(area: &MultiPolygon<f64>) -> usize {
    let rings = area
        .iter()
        .flat_map(|part| std::iter::once(part.exterior()).chain(part.interiors()));
    rings
        .map(|ring| {
            let corners = &ring.0[1..];
            let count = corners.len();
            let turns = (0..count).filter(|&at| {
                let tip = corners[at];
                let (a, b) = (
                    corners[(at + count - 1) % count] - tip,
                    corners[(at + 1) % count] - tip,
                );
                let legs = (a.x * a.x + a.y * a.y)
                    .sqrt()
                    .min((b.x * b.x + b.y * b.y).sqrt());
                legs > 0.3 && (a.x * b.y - a.y * b.x).atan2(a.x * b.x + a.y * b.y).abs() < 0.0087
            });
            turns.count()
        })
        .sum()
}

proptest! {
    /// Patches that share slanting edges, as posterised artwork has them: each goes on beneath its
    /// neighbours in one piece, without a slit along the edge that they shared.
    #[test]
    fn patches_with_slanting_edges_get_no_slits(
        strays in proptest::collection::vec((-2.0..2.0_f64, -2.0..2.0_f64), 25),
        order in Just((0..16_usize).collect::<Vec<_>>()).prop_shuffle(),
    ) {
        let corner = |column: usize, row: usize| {
            let (x, y) = strays[5 * row + column];
            (8.0 * column as f64 + x, 8.0 * row as f64 + y)
        };
        let patches: Vec<Object> = order
            .iter()
            .map(|&patch| {
                let (column, row) = (patch % 4, patch / 4);
                let ring = vec![
                    corner(column, row),
                    corner(column + 1, row),
                    corner(column + 1, row + 1),
                    corner(column, row + 1),
                ];
                region(&format!("patch-{patch}"), &Polygon::new(ring.into(), Vec::new()).into())
            })
            .collect();
        for (before, after) in patches.iter().zip(tucked(patches.clone())) {
            prop_assert_eq!(turns_back(&area(before)), 0);
            let after = area(&after);
            prop_assert_eq!(turns_back(&after), 0, "{} {:?} {:?}", before.id, area(before), after);
            prop_assert_eq!(after.0.len(), 1);
        }
    }
}
