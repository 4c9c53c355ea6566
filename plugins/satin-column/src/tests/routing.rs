//! One thread through all columns that hang together.

use super::shapes::{all_lines, all_regions, h_shape, rectangle, region, ring_of, t_fork};
use super::{jumps, moves, sew, sew_region};
use crate::SatinColumn;
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;

#[test]
fn what_hangs_together_is_one_thread() {
    for (name, area) in all_regions() {
        assert_eq!(jumps(&sew_region(&area)), 0, "{name}");
    }
    for (name, line, width) in all_lines() {
        let (stitches, _) = sew(Object::of_line(name, &line, width), &SatinColumn::default());
        assert_eq!(jumps(&stitches), 0, "{name}");
    }
}

/// Every way is sewn before the cover that hides it: within a short reach of each travel point,
/// cover follows.
#[test]
fn travel_lies_under_later_cover() {
    for (name, area) in all_regions() {
        let stitches = sew_region(&area);
        for (i, stitch) in stitches.iter().enumerate() {
            if stitch.role != StitchRole::Travel {
                continue;
            }
            let hidden = moves(&stitches[i..])
                .filter(|(_, b)| b.role == StitchRole::Cover)
                .any(|(a, b)| {
                    let d = b.at - a.at;
                    let p = stitch.at - a.at;
                    let t = ((p.x * d.x + p.y * d.y) / (d.x * d.x + d.y * d.y).max(1e-9))
                        .clamp(0.0, 1.0);
                    distance(p, d * t) < 0.3
                });
            assert!(hidden, "{name}: travel at {:?}", stitch.at);
        }
    }
}

#[test]
fn the_thread_comes_in_near_the_start_and_goes_out_near_the_finish() {
    for (start, finish) in [
        ((0.0, 1.5), (20.0, 1.5)),
        ((20.0, 1.5), (0.0, 1.5)),
        ((0.0, 1.5), (0.0, 1.5)),
    ] {
        for height in [1.0, 1.5, 3.0, 6.0] {
            let mut object = Object::of_region("bar", &rectangle(20.0, height));
            object.sewing.start = Some(Point {
                x: start.0,
                y: start.1,
            });
            object.sewing.finish = Some(Point {
                x: finish.0,
                y: finish.1,
            });
            let (stitches, _) = sew(object, &SatinColumn::default());
            assert!(
                (stitches[0].at.x - start.0).abs() < 0.5,
                "{:?}",
                stitches[0]
            );
            let last = stitches[stitches.len() - 1].at;
            assert!(
                (last.x - finish.0).abs() < 0.5,
                "{start:?} {finish:?} {height} {last:?}"
            );
        }
    }
}

#[test]
fn a_forked_region_can_be_entered_at_any_tip() {
    for (area, tips) in [
        (t_fork(), vec![(0.0, 2.5), (30.0, 2.5), (15.0, 22.0)]),
        (
            h_shape(),
            vec![(2.0, 0.0), (2.0, 24.0), (16.0, 0.0), (16.0, 24.0)],
        ),
    ] {
        for (x, y) in tips {
            let mut object = Object::of_region("fork", &area);
            object.sewing.start = Some(Point { x, y });
            let (stitches, _) = sew(object, &SatinColumn::default());
            assert!(
                distance(stitches[0].at, Coord { x, y }) < 0.6,
                "{:?}",
                stitches[0]
            );
            assert_eq!(jumps(&stitches), 0);
        }
    }
}

#[test]
fn separate_parts_are_joined_by_one_jump_each() {
    let bars = (0..3)
        .map(|i| f64::from(i) * 8.0)
        .map(|y| ring_of([(0.0, y), (20.0, y), (20.0, y + 3.0), (0.0, y + 3.0)]));
    let stitches = sew_region(&region(bars));
    assert_eq!(jumps(&stitches), 2);
    for pair in stitches
        .windows(2)
        .filter(|pair| pair[0].kind == StitchKind::Jump)
    {
        assert_eq!((pair[1].kind, pair[1].at), (StitchKind::Needle, pair[0].at));
    }
    assert_eq!(stitches[0].kind, StitchKind::Needle);
}

fn lines(paths: Vec<Vec<(f64, f64)>>, width: f64) -> Object {
    let path = |corners: Vec<(f64, f64)>| {
        Polyline::new(corners.into_iter().map(|(x, y)| Coord { x, y }), false)
    };
    let paths = paths.into_iter().map(path).collect();
    Object::new(
        "lines",
        Shape::Lines(hoopwright_sdk::Lines { paths, width }),
    )
}

/// The manual's promise, wherever an object has more than one column: parts, lines, forks, and
/// what is sewn as a run. The start is kept besides.
#[test]
fn of_several_columns_the_thread_leaves_by_the_end_nearest_to_the_finish() {
    let bars = region([0.0, 20.0].map(|x| {
        ring_of([
            (x - 1.5, 0.0),
            (x + 1.5, 0.0),
            (x + 1.5, 10.0),
            (x - 1.5, 10.0),
        ])
    }));
    let bar_ends = vec![(0.0, 0.0), (0.0, 10.0), (20.0, 0.0), (20.0, 10.0)];
    let stems = || {
        vec![
            vec![(0.0, 0.0), (0.0, 10.0)],
            vec![(20.0, 0.0), (20.0, 10.0)],
        ]
    };
    for (object, tips) in [
        (Object::of_region("bars", &bars), bar_ends.clone()),
        (lines(stems(), 3.0), bar_ends.clone()),
        (lines(stems(), 0.5), bar_ends),
        (
            Object::of_region("whisker", &rectangle(20.0, 0.5)),
            vec![(0.0, 0.25), (20.0, 0.25)],
        ),
        (
            Object::of_region("fork", &t_fork()),
            vec![(0.0, 2.5), (30.0, 2.5), (15.0, 22.0)],
        ),
        (
            Object::of_region("h", &h_shape()),
            vec![(2.0, 0.0), (2.0, 24.0), (16.0, 0.0), (16.0, 24.0)],
        ),
    ] {
        let wanted = jumps(&sew(object.clone(), &SatinColumn::default()).0);
        for &(x, y) in &tips {
            for start in [None, Some(tips[0]), Some(tips[1])] {
                let mut object = object.clone();
                object.sewing.start = start.map(|(x, y)| Point { x, y });
                object.sewing.finish = Some(Point { x, y });
                let (stitches, _) = sew(object, &SatinColumn::default());
                let last = stitches[stitches.len() - 1];
                // The needle ends at an edge: half the width away, at most 2.5 mm, and the compensation.
                let away = distance(last.at, Coord { x, y });
                assert!(away < 2.75, "{start:?} to {:?}: {away}", (x, y));
                assert_eq!(jumps(&stitches), wanted);
            }
        }
    }
}

/// Outlines that meet, end to end, at a T and in a crossing, in one object: one thread, without a
/// jump. What lies apart is reached by one.
#[test]
fn lines_that_touch_are_one_thread() {
    let path =
        |corners: &[(f64, f64)]| Polyline::new(corners.iter().map(|&(x, y)| Coord { x, y }), false);
    let touching = vec![
        path(&[(0., 0.), (20., 0.)]),
        path(&[(20., 0.), (20., 15.)]),
        path(&[(10., 0.), (10., 12.)]),
        path(&[(4., 6.), (16., 6.)]),
    ];
    let object = |paths: &[Polyline]| {
        let paths = paths.to_vec();
        Object::new(
            "outline",
            Shape::Lines(hoopwright_sdk::Lines { paths, width: 1.2 }),
        )
    };
    let (stitches, _) = sew(object(&touching), &SatinColumn::default());
    assert_eq!(jumps(&stitches), 0);
    let cover = |place: (f64, f64)| {
        let place = Coord {
            x: place.0,
            y: place.1,
        };
        let mut cover = stitches.iter().filter(|one| one.role == StitchRole::Cover);
        cover.any(|one| distance(one.at, place) < 1.0)
    };
    for place in [
        (1., 0.),
        (19., 0.),
        (20., 14.),
        (10., 11.),
        (5., 6.),
        (15., 6.),
    ] {
        assert!(cover(place), "no cover at {place:?}");
    }
    let apart = [&touching[..], &[path(&[(0., 30.), (20., 30.)])]].concat();
    let (stitches, _) = sew(object(&apart), &SatinColumn::default());
    assert_eq!(jumps(&stitches), 1);
}

/// Added to what is there, it goes on where that ends, and a start of the object's own wins.
#[test]
fn added_satin_begins_where_the_stitches_end() {
    let add = SatinColumn {
        add: true,
        ..SatinColumn::default()
    };
    let stem = |ends_at: (f64, f64)| {
        let mut object = lines(vec![vec![(20.0, -20.0), (20.0, 19.5)]], 3.0);
        let mut there = StitchList::new();
        for (x, y) in [(0.0, -5.0), ends_at] {
            there.needle(StitchRole::Cover, Coord { x, y });
        }
        object.stitches = there.into_blocks();
        object
    };
    let (tail, tip) = (Coord { x: 20.0, y: -20.0 }, Coord { x: 20.0, y: 19.5 });
    // At the very end of the column, as good as there, near it, and far from it.
    for (ends_at, jumped, travelled) in [
        ((20.0, 19.5), 0, 0),
        ((20.2, 19.6), 0, 0),
        ((20.3, 19.7), 0, 1),
        ((20.4, 20.4), 0, 1),
        ((20.4, 20.5), 1, 0),
        ((26.0, 25.0), 1, 0),
    ] {
        let object = stem(ends_at);
        let (stitches, _) = sew(object.clone(), &add);
        let first = stitches
            .iter()
            .skip(2)
            .find(|s| s.kind == StitchKind::Needle);
        let first = first.expect("satin").at;
        assert!(distance(first, tip) < 3.0, "{ends_at:?}: {first:?}");
        for (a, b) in moves(&stitches[1..]) {
            assert!(distance(a.at, b.at) >= 0.3, "{ends_at:?}: {b:?}");
        }
        assert_eq!(jumps(&stitches), jumped, "{ends_at:?}");
        let travel = usize::from(stitches[2].role == StitchRole::Travel) - jumped;
        assert_eq!(travel, travelled, "{ends_at:?}");
        let mut led = object;
        led.sewing.start = Some(tail.into());
        let (stitches, _) = sew(led, &add);
        assert_eq!((stitches[2].kind, stitches[2].at), (StitchKind::Jump, tail));
    }
}

/// Six thousand pieces of 4 mm, each hanging on the one before, on a stack of 256 KiB: a plugin has
/// 1 MiB, and no call may lie deeper in another for every piece.
#[test]
fn a_long_chain_of_columns_needs_no_deep_stack() {
    const PIECES: usize = 6000;
    let sewn = std::thread::Builder::new().stack_size(256 << 10).spawn(|| {
        // Row above row, there and back.
        let at = |i: usize| {
            let along = if (i / 100).is_multiple_of(2) {
                i % 100
            } else {
                99 - i % 100
            };
            (4.0 * along as f64, 4.0 * (i / 100) as f64)
        };
        let chain = (0..PIECES).map(|i| vec![at(i), at(i + 1)]).collect();
        sew(lines(chain, 1.5), &SatinColumn::default()).0
    });
    let stitches = sewn.expect("a thread").join().expect("a deep enough stack");
    assert_eq!(jumps(&stitches), 0);
    let cover = |stitch: &&Stitch| stitch.role == StitchRole::Cover;
    let least = PIECES as f64 * 4.0 / 0.2;
    assert!(stitches.iter().filter(cover).count() as f64 > 0.8 * least);
}
