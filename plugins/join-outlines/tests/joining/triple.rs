//! Triple run over a trail that passes some stretches again, sewn by `line-run`.

use crate::drawing::{away, joined, line, lines_of, sewn};
use hoopwright_join_outlines::{JoinOutlines, Weight};
use hoopwright_line_run::{LineRun, Passes, line_run};
use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::geometry::measure::{distance, nearest_fraction};
use hoopwright_sdk::prelude::*;
use std::collections::BTreeMap;

fn thread() -> Thread {
    Thread {
        name: "black".to_owned(),
        code: String::new(),
        red: 0,
        green: 0,
        blue: 0,
        weight: 40,
    }
}

/// How many mm of the drawing got how many threads, looked at every 0.1 mm and away from the
/// places in `joints`, where lines meet and threads of all lie.
fn threads(drawn: &[Object], sewn: &[Coord<f64>], joints: &[(f64, f64)]) -> BTreeMap<usize, f64> {
    let mut found = BTreeMap::new();
    for step in drawn
        .iter()
        .flat_map(lines_of)
        .flat_map(|line| line.0.windows(2).map(|s| [s[0], s[1]]).collect::<Vec<_>>())
    {
        let count = (distance(step[0], step[1]) / 0.1) as usize;
        for i in 0..count {
            let at = step[0] + (step[1] - step[0]) * ((i as f64 + 0.37) / count as f64);
            if joints
                .iter()
                .any(|&(x, y)| distance(at, Coord { x, y }) < 0.7)
            {
                continue;
            }
            // A needle place belongs to two stitches: each is counted between its ends.
            let between = |s: &[Coord<f64>]| {
                let along = nearest_fraction([s[0], s[1]], at);
                along > 0.0 && along < 1.0 && away([s[0], s[1]], at) < 0.05
            };
            let over = sewn.windows(2).filter(|s| between(s)).count();
            *found.entry(over).or_insert(0.0) += 0.1;
        }
    }
    found
}

fn triple(objects: Vec<Object>) -> (Vec<Object>, Vec<Coord<f64>>) {
    let settings = JoinOutlines {
        weight: Weight::EvenTriple,
        ..JoinOutlines::default()
    };
    let (objects, _) = joined(objects, &settings);
    assert_eq!(objects.len(), 1);
    let single = LineRun::default();
    let object = line_run(objects[0].clone(), &thread(), &single).expect("it never fails");
    let (places, jumps) = sewn(&object);
    assert_eq!(jumps, 0);
    for stitch in places.windows(2) {
        let long = distance(stitch[0], stitch[1]);
        assert!((0.5..=2.01).contains(&long), "a stitch of {long} mm");
    }
    (objects, places)
}

/// A stem with side branches, as in a feather: each branch must be left the way it was entered.
fn feather() -> (Vec<Object>, Vec<(f64, f64)>) {
    let mut objects = vec![line("stem", &[(0., 0.), (40., 0.)])];
    let mut joints = vec![(0., 0.), (40., 0.)];
    for i in 1..4 {
        let x = f64::from(i) * 10.0;
        objects.push(line(&format!("branch-{i}"), &[(x, 0.), (x, 9.)]));
        joints.extend([(x, 0.), (x, 9.)]);
    }
    (objects, joints)
}

/// Three threads everywhere but on the branches, which have four: three on the way out, one back.
/// The same trail under triple run would have six there.
#[test]
fn a_branch_and_its_return_path_have_four_threads_and_all_else_three() {
    let (drawn, joints) = feather();
    let (_, places) = triple(drawn.clone());
    let found = threads(&drawn, &places, &joints);
    let three = found.get(&3).copied().unwrap_or(0.0);
    let four = found.get(&4).copied().unwrap_or(0.0);
    let all: f64 = found.values().sum();
    assert!((three + four - all).abs() < 1e-6, "{found:?}");
    // The stem's ends are the trail's; of each branch 9 mm less 0.7 at either end.
    assert!((four - 3.0 * 7.6).abs() < 0.3, "{found:?}");

    let (objects, _) = joined(drawn.clone(), &JoinOutlines::default());
    let passes = LineRun {
        passes: Passes::Triple,
        ..LineRun::default()
    };
    let object = line_run(objects[0].clone(), &thread(), &passes).expect("it never fails");
    let found = threads(&drawn, &sewn(&object).0, &joints);
    assert!(found.get(&6).is_some_and(|&six| six > 20.0), "{found:?}");
}

/// Where no more than two joints are odd, every line has exactly three threads.
#[test]
fn a_figure_that_needs_no_return_has_three_threads_everywhere() {
    let house = vec![
        line("walls", &[(0., 20.), (0., 0.), (20., 0.), (20., 20.)]),
        line("roof", &[(0., 20.), (10., 30.), (20., 20.)]),
        line("floor", &[(0., 20.), (20., 20.)]),
    ];
    let joints = [(0., 20.), (20., 20.), (0., 0.), (20., 0.), (10., 30.)];
    let (_, places) = triple(house.clone());
    let found = threads(&house, &places, &joints);
    assert_eq!(found.keys().copied().collect::<Vec<_>>(), [3], "{found:?}");
}

/// A window of four panes has four odd joints: two sides again with an open walk (14 of 12 sides,
/// Edmonds and Johnson 1973), so that 20 mm have four threads, and 100 mm three.
#[test]
fn a_window_has_as_little_uneven_as_route_inspection_leaves() {
    let mut drawn = Vec::new();
    let mut joints = Vec::new();
    for i in 0..3 {
        let at = f64::from(i) * 10.0;
        drawn.push(line(&format!("row-{i}"), &[(0., at), (20., at)]));
        drawn.push(line(&format!("column-{i}"), &[(at, 0.), (at, 20.)]));
        joints.extend((0..3).map(|j| (at, f64::from(j) * 10.0)));
    }
    let (_, places) = triple(drawn.clone());
    let found = threads(&drawn, &places, &joints);
    let four = found.get(&4).copied().unwrap_or(0.0);
    // Less 0.7 mm at either end of each side.
    assert!((four - 2.0 * 8.6).abs() < 0.5, "{found:?}");
    assert_eq!(
        found.keys().copied().collect::<Vec<_>>(),
        [3, 4],
        "{found:?}"
    );
}

#[test]
fn curves_and_lines_that_touch_nothing_are_triple_run_too() {
    let curve: Vec<(f64, f64)> = (0..=60)
        .map(|i| f64::from(i) * 3.0_f64.to_radians())
        .map(|a| (8.0 * a.cos(), 8.0 * a.sin()))
        .collect();
    let (objects, places) = triple(vec![line("brow", &curve)]);
    assert_eq!(objects[0].sewing.stitch_length, Some(2.0));
    let mut lengths = places.windows(2).map(|s| distance(s[0], s[1]));
    assert!(lengths.by_ref().count() % 3 == 0);
    let along: f64 = places.windows(2).map(|s| distance(s[0], s[1])).sum();
    let once = 8.0 * std::f64::consts::PI;
    assert!((along / once - 3.0).abs() < 0.03, "{}", along / once);
}
