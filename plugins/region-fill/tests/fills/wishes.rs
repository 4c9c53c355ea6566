//! What an object itself asks for: angle, density, stitch length, start, finish; and `add`.

use crate::measures::{inside, jumps, length_of, moves};
use crate::shapes::*;
use hoopwright_region_fill::{RegionFill, Underlay};
use hoopwright_sdk::geometry::geo::{Coord, Translate};
use hoopwright_sdk::{
    DirectionMark, Object, Point, Stitch, StitchKind, StitchList, StitchRole, stitches_of,
};

fn bare() -> RegionFill {
    RegionFill {
        underlay: Underlay::None,
        ..RegionFill::default()
    }
}

fn of(object: Object, settings: &RegionFill) -> Vec<Stitch> {
    stitches_of(&sew(object, settings).0.stitches).collect()
}

fn away(stitch: &Stitch, x: f64, y: f64) -> f64 {
    (stitch.at.x - x).hypot(stitch.at.y - y)
}

#[test]
fn start_and_finish_are_kept() {
    for (start, finish) in [
        ((0., 0.), (30., 12.)),
        ((20., 15.), (0., 16.)),
        ((12., 12.), (12., 12.)),
        ((30., 0.), (0., 0.)),
    ] {
        for settings in [bare(), RegionFill::default()] {
            let mut object = Object::of_region("comb", &comb());
            object.sewing.angle = Some(0.0);
            object.sewing.start = Some(Point {
                x: start.0,
                y: start.1,
            });
            object.sewing.finish = Some(Point {
                x: finish.0,
                y: finish.1,
            });
            let stitches = of(object, &settings);
            assert_eq!(jumps(&stitches), 0);
            let (first, last) = (&stitches[0], &stitches[stitches.len() - 1]);
            assert!(
                away(first, start.0, start.1) < 0.5,
                "{first:?} for {start:?}"
            );
            // However the cell and its rows lie.
            assert!(
                away(last, finish.0, finish.1) < 1.0,
                "{last:?} for {finish:?}"
            );
        }
    }
}

/// Anywhere inside, on the edge, and beside a hole.
#[test]
fn a_thread_ends_within_a_millimetre_of_its_finish() {
    let shapes = [rectangle(30.0, 20.0), disc(), annulus(), holed_star()];
    for (i, area) in shapes.iter().enumerate() {
        for (x, y) in [(9.0, 1.0), (-6.0, 1.0), (1.0, 7.5), (4.5, 5.0), (8.0, -3.0)] {
            for angle in [0.0, 30.0, 90.0] {
                for start in [None, Some(Point { x: 0.0, y: 9.0 })] {
                    let mut object = Object::of_region("a", area);
                    object.sewing.angle = Some(angle);
                    object.sewing.start = start;
                    object.sewing.finish = Some(Point { x, y });
                    let stitches = of(object, &RegionFill::default());
                    let last = &stitches[stitches.len() - 1];
                    assert_eq!(jumps(&stitches), 0);
                    if inside(Coord { x, y }, area) {
                        assert!(
                            away(last, x, y) < 1.0,
                            "shape {i}, {angle} degrees: {last:?} for {x}, {y}"
                        );
                    }
                }
            }
        }
    }
}

#[test]
fn the_objects_own_numbers_win() {
    let area = rectangle(30.0, 20.0);
    let plain = of(Object::of_region("a", &area), &bare());
    let mut object = Object::of_region("a", &area);
    object.sewing.density = Some(0.8);
    object.sewing.stitch_length = Some(3.0);
    object.sewing.angle = Some(90.0);
    let own = of(object, &bare());
    let ratio = length_of(&own, StitchRole::Cover) / length_of(&plain, StitchRole::Cover);
    assert!((0.48..0.53).contains(&ratio), "{ratio}");
    assert!(moves(&own).iter().all(|m| m.length() <= 3.0 + 1e-9));
    let upright = moves(&own)
        .iter()
        .filter(|m| (m.to.x - m.from.x).abs() < 0.5)
        .count();
    assert!(upright * 10 > own.len() * 9);
}

#[test]
fn differing_marks_are_followed_in_the_mean_with_a_note() {
    let mut object = Object::of_region("a", &rectangle(30.0, 20.0));
    for head in [Point { x: 9.0, y: 3.0 }, Point { x: 9.0, y: -3.0 }] {
        object.sewing.direction_marks.push(DirectionMark {
            tail: Point { x: 0.0, y: 0.0 },
            head,
        });
    }
    let (object, findings) = sew(object, &bare());
    assert_eq!(findings.len(), 1);
    assert!(findings[0].message.contains("middle direction"));
    let stitches: Vec<Stitch> = stitches_of(&object.stitches).collect();
    let level = moves(&stitches)
        .iter()
        .filter(|m| (m.to.y - m.from.y).abs() < 0.3)
        .count();
    assert!(level * 10 > stitches.len() * 9);
}

#[test]
fn separate_parts_are_joined_by_one_jump_each_the_nearest_next() {
    let mut area = rectangle(5.0, 5.0);
    for x in [40.0, 10.0, 30.0, 20.0] {
        area.0.extend(rectangle(5.0, 5.0).translate(x, 0.0).0);
    }
    let stitches = of(Object::of_region("five", &area), &RegionFill::default());
    assert_eq!(jumps(&stitches), 4);
    let visits: Vec<f64> = stitches
        .iter()
        .filter(|s| s.kind == StitchKind::Jump)
        .map(|s| (s.at.x / 10.0).floor() * 10.0)
        .collect();
    let mut sorted = visits.clone();
    sorted.sort_by(f64::total_cmp);
    let mut back = sorted.clone();
    back.reverse();
    assert!(visits == sorted || visits == back, "{visits:?}");
}

#[test]
fn add_keeps_what_was_sewn_before() {
    let mut object = Object::of_region("a", &rectangle(10.0, 10.0));
    let mut list = StitchList::new();
    for x in [20.0, 22.0] {
        list.needle(StitchRole::Cover, Coord { x, y: 5.0 });
    }
    object.stitches = list.into_blocks();
    let replaced = of(object.clone(), &bare());
    assert!(replaced.iter().all(|s| s.at.x < 11.0));
    let added = of(
        object,
        &RegionFill {
            add: true,
            ..bare()
        },
    );
    assert_eq!(added[1].at.x, 22.0);
    assert_eq!(added[2].kind, StitchKind::Jump);
    assert_eq!(added[3].at, added[2].at);
    assert!(added.len() > replaced.len());
}

/// From the edge of a square outward: no stitch under 0.3 mm, a stitch of travel up to
/// 1 mm, then a jump.
#[test]
fn an_added_fill_begins_where_the_stitches_end() {
    let add = RegionFill {
        add: true,
        ..RegionFill::default()
    };
    for (x, jumped, travelled) in [
        (10.0, 0, 0),
        (10.2, 0, 0),
        (10.4, 0, 1),
        (10.9, 0, 1),
        (11.1, 1, 0),
    ] {
        let mut object = Object::of_region("a", &rectangle(10.0, 10.0));
        object.sewing.angle = Some(0.0);
        let mut list = StitchList::new();
        for x in [x + 2.0, x] {
            list.needle(StitchRole::Cover, Coord { x, y: 5.0 });
        }
        object.stitches = list.into_blocks();
        let added = of(object, &add);
        assert_eq!(jumps(&added), jumped, "{x}");
        let leads_over = added[2].kind == StitchKind::Needle && away(&added[2], x, 5.0) <= 1.0;
        assert_eq!(usize::from(leads_over), travelled, "{x}");
        assert!(!leads_over || added[2].role == StitchRole::Travel);
        assert!(
            moves(&added).iter().all(|m| m.length() >= 0.3 - 1e-9),
            "{x}"
        );
    }
}

/// The underlay comes before all cover, and nothing of it is left out of the thread.
#[test]
fn the_underlay_is_sewn_first() {
    let stitches = of(
        Object::of_region("ring", &annulus()),
        &RegionFill::default(),
    );
    let last_underlay = stitches
        .iter()
        .rposition(|s| s.role == StitchRole::Underlay)
        .unwrap();
    let first_cover = stitches
        .iter()
        .position(|s| s.role == StitchRole::Cover)
        .unwrap();
    assert!(last_underlay < first_cover);
    assert_eq!(jumps(&stitches), 0);
    // Edge runs of about 2 pi (9.4 + 4.6), and rows 2.5 mm apart over the inset ring.
    let length = length_of(&stitches, StitchRole::Underlay);
    assert!((150.0..230.0).contains(&length), "{length}");
}
