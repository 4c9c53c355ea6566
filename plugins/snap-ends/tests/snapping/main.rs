//! Where ends go. Expected places were computed by hand from the settings' definitions.

mod drawing;
mod short_lines;

use drawing::{at, corners, design, line, near, path, run, straight};
use hoopwright_sdk::Lines;
use hoopwright_sdk::geometry::geo::polygon;
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;
use hoopwright_snap_ends::{Onto, Reaches, SnapEnds, description, snap_ends};
use proptest::prelude::*;

#[test]
fn near_ends_meet_in_their_middle() {
    let done = run(
        vec![
            line("a", &[(0., 0.), (10., 0.)]),
            line("b", &[(10.3, 0.), (20., 5.)]),
            line("c", &[(10., 0.3), (10., 20.)]),
            line("far", &[(11., 0.), (30., 0.)]),
        ],
        &SnapEnds {
            to_lines: false,
            ..SnapEnds::default()
        },
    );
    let middle = at(20.3 / 3.0 + 10.0 / 3.0, 0.1);
    near(corners(&done[0])[1], middle);
    assert_eq!(corners(&done[0])[1], corners(&done[1])[0]);
    assert_eq!(corners(&done[0])[1], corners(&done[2])[0]);
    assert_eq!(corners(&done[3]), [at(11., 0.), at(30., 0.)]);
    let findings = messages::take();
    assert!(
        findings[0]
            .message
            .starts_with("3 of 8 ends were snapped, in 3 objects"),
        "{findings:?}"
    );
    assert!(findings[0].message.contains("0.22 mm"), "{findings:?}");
}

#[test]
fn an_end_is_laid_onto_a_line_an_edge_or_its_own_line() {
    let square = polygon![(x: 50., y: 0.), (x: 60., y: 0.), (x: 60., y: 10.), (x: 50., y: 10.)];
    let done = run(
        vec![
            line("bar", &[(0., 0.), (20., 0.)]),
            line("stem", &[(10., 0.4), (10., 20.)]),
            line("to-edge", &[(30., 5.), (49.6, 5.)]),
            Object::of_region("square", &square.into()),
            line(
                "six",
                &[
                    (80., 0.),
                    (70., 10.),
                    (70., 20.),
                    (80., 20.),
                    (80., 10.),
                    (70.3, 10.),
                ],
            ),
        ],
        &SnapEnds::default(),
    );
    assert_eq!(corners(&done[0]), [at(0., 0.), at(20., 0.)]);
    near(corners(&done[1])[0], at(10., 0.));
    near(corners(&done[2])[1], at(50., 5.));
    // The slanted part of its own line is nearer than the corner.
    near(corners(&done[4])[5], at(70.15, 9.85));
    assert!(!path(&done[4]).closed);
}

#[test]
fn a_ring_that_is_not_quite_closed_becomes_one() {
    let done = run(
        vec![line(
            "ring",
            &[(0., 0.), (10., 0.), (10., 10.), (0., 10.), (0., 0.4)],
        )],
        &SnapEnds::default(),
    );
    assert!(path(&done[0]).closed);
    // Its first corner lies in the middle of the gap, and is not repeated.
    near(corners(&done[0])[0], at(0., 0.2));
    assert_eq!(corners(&done[0]).len(), 4);
}

#[test]
fn a_lengthened_line_keeps_its_direction() {
    // Up to the right by 3 to 4, stopping 0.3 mm below a bar: 0.5 mm farther along.
    let objects = || {
        vec![
            line("slanted", &[(0., 6.), (7.6, 0.3)]),
            line("bar", &[(0., 0.), (20., 0.)]),
        ]
    };
    let mut settings = straight();
    settings.reach = 0.6;
    let done = run(objects(), &settings);
    near(corners(&done[0])[1], at(8., 0.));
    let bent = run(
        objects(),
        &SnapEnds {
            reach: 0.6,
            ..SnapEnds::default()
        },
    );
    near(corners(&bent[0])[1], at(7.6, 0.));
}

#[test]
fn what_runs_over_is_cut() {
    let done = run(
        vec![
            line("over", &[(5., 10.), (5., 1.), (5., 0.1), (5.1, -0.2)]),
            line("bar", &[(0., 0.), (20., 0.)]),
        ],
        &straight(),
    );
    let corners = corners(&done[0]);
    assert_eq!(corners.len(), 4);
    near(corners[3], at(5. + 0.1 / 3.0, 0.));
}

#[test]
fn a_corner_is_where_both_lines_lead() {
    let done = run(
        vec![
            line("level", &[(0., 0.), (9.7, 0.)]),
            line("upright", &[(10., 0.3), (10., 20.)]),
        ],
        &straight(),
    );
    near(corners(&done[0])[1], at(10., 0.));
    near(corners(&done[1])[0], at(10., 0.));
    // Ends that face each other meet in the middle, straight.
    let done = run(
        vec![
            line("left", &[(0., 0.), (9.8, 0.)]),
            line("right", &[(10.2, 0.), (20., 0.)]),
        ],
        &straight(),
    );
    near(corners(&done[0])[1], at(10., 0.));
    assert_eq!(messages::take().len(), 1, "nothing was bent");
}

#[test]
fn what_cannot_go_on_straight_bends_and_it_is_said() {
    let done = run(
        vec![
            line("beside", &[(0., 0.3), (10., 0.3)]),
            line("bar", &[(-5., 0.), (20., 0.)]),
        ],
        &straight(),
    );
    near(corners(&done[0])[1], at(10., 0.));
    assert!(messages::take()[1].message.starts_with("2 ends were bent"));
}

/// The end laid onto a line whose own end moves lies on it afterwards.
#[test]
fn a_joint_on_a_line_that_moves_holds() {
    let done = run(
        vec![
            line("moving", &[(0., 0.), (5., 0.), (10., 0.4)]),
            line("post", &[(10., -5.), (10., 0.0)]),
            line("on-it", &[(9., 0.6), (9., 10.)]),
        ],
        &SnapEnds::default(),
    );
    let moved = corners(&done[0]);
    let end = corners(&done[2])[0];
    let to = moved.windows(2).map(|pair| {
        let f = geometry::measure::nearest_fraction([pair[0], pair[1]], end);
        distance(pair[0] + (pair[1] - pair[0]) * f, end)
    });
    assert!(to.fold(f64::INFINITY, f64::min) < 1e-5);
    assert_eq!(moved[2], corners(&done[1])[1]);
}

#[test]
fn sewn_lines_stay_and_others_are_laid_onto_them() {
    let mut sewn = line("sewn", &[(0., 0.), (20., 0.3)]);
    let mut list = StitchList::new();
    list.needle(StitchRole::Cover, at(0., 0.));
    sewn.stitches = list.into_blocks();
    let done = run(
        vec![sewn.clone(), line("stem", &[(20.2, 0.3), (30., 0.3)])],
        &SnapEnds::default(),
    );
    assert_eq!(done[0], sewn);
    near(corners(&done[1])[0], at(20., 0.3));
    let findings = messages::take();
    assert_eq!(findings[0].severity, Severity::Warning);
    assert_eq!(findings[0].object.as_deref(), Some("sewn"));
}

#[test]
fn the_unselected_stay_and_count_only_if_asked() {
    let objects = vec![
        line("bar", &[(0., 0.), (20., 0.)]),
        line("stem", &[(10., 0.4), (10., 20.)]),
    ];
    for (onto, y) in [(Onto::All, 0.0), (Onto::Selected, 0.4)] {
        let settings = SnapEnds {
            onto,
            ..SnapEnds::default()
        };
        let done = snap_ends(design(objects.clone()), &[1], &settings).expect("it never fails");
        assert_eq!(done.objects[0], objects[0]);
        near(corners(&done.objects[1])[0], at(10., y));
    }
}

#[test]
fn a_wish_for_the_start_goes_with_the_end() {
    let mut stem = line("stem", &[(10., 0.4), (10., 20.)]);
    stem.sewing.start = Some(Point { x: 10., y: 0.4 });
    stem.sewing.finish = Some(Point { x: 11., y: 5. });
    let done = run(
        vec![line("bar", &[(0., 0.), (20., 0.)]), stem],
        &SnapEnds::default(),
    );
    assert_eq!(done[1].sewing.start, Some(Point { x: 10., y: 0. }));
    assert_eq!(done[1].sewing.finish, Some(Point { x: 11., y: 5. }));
}

/// 5,000 pieces of outlines on a grid, each a little off: every crossing is met.
#[test]
fn many_pieces_are_snapped() {
    let mut objects = Vec::new();
    for i in 0..50 {
        for j in 0..50 {
            let (x, y) = (f64::from(i) * 3.0, f64::from(j) * 3.0);
            let off = f64::from((i * 7 + j * 3) % 5) * 0.05;
            objects.push(line(
                &format!("l{i}-{j}"),
                &[(x + off, y), (x + 1., y), (x + 2.9, y)],
            ));
            objects.push(line(
                &format!("u{i}-{j}"),
                &[(x, y + off), (x, y + 1.), (x, y + 2.9)],
            ));
        }
    }
    let done = run(objects, &SnapEnds::default());
    for (level, upright) in (0..2500).map(|i| (&done[2 * i], &done[2 * i + 1])) {
        near(corners(level)[0], corners(upright)[0]);
    }
}

#[test]
fn nothing_to_move_is_a_note() {
    let done = run(
        vec![Object::new("nothing", Shape::Manual)],
        &SnapEnds::default(),
    );
    assert_eq!(done.len(), 1);
    assert_eq!(messages::take()[0].severity, Severity::Note);
    run(
        vec![line("alone", &[(0., 0.), (9., 0.)])],
        &SnapEnds::default(),
    );
    assert!(
        messages::take()[0]
            .message
            .starts_with("None of the 2 ends")
    );
}

#[test]
fn every_setting_has_a_description() {
    let schema: hoopwright_sdk::serde_json::Value =
        hoopwright_sdk::serde_json::from_str(&description().settings_schema).expect("it is JSON");
    let properties = schema["properties"].as_object().expect("it has settings");
    assert_eq!(properties.len(), 6);
    for (name, property) in properties {
        assert!(property["description"].is_string(), "{name}");
    }
}

/// Lines of any kind, near each other, some not finite.
fn tangle() -> impl Strategy<Value = Vec<Object>> {
    let number =
        prop_oneof![9 => -3.0..3.0f64, 3 => (-3i32..3).prop_map(f64::from), 1 => Just(f64::NAN)];
    let corners = prop::collection::vec((number.clone(), number), 0..7);
    let line = (corners, any::<bool>()).prop_map(|(corners, closed)| {
        Polyline::new(corners.into_iter().map(|(x, y)| at(x, y)), closed)
    });
    let lines = prop::collection::vec(line, 0..3);
    prop::collection::vec(lines, 1..6).prop_map(|objects| {
        let object =
            |(i, paths)| Object::new(&format!("o{i}"), Shape::Lines(Lines { paths, width: 0.5 }));
        objects.into_iter().enumerate().map(object).collect()
    })
}

proptest! {
    /// Bad input never panics; no end moves farther than the reach; the same is given twice.
    #[test]
    fn no_end_moves_farther_than_the_reach(
        objects in tangle(), reach in 0.05..1.5f64, lengthened in any::<bool>(), ends in any::<bool>(),
    ) {
        let settings = SnapEnds {
            reach,
            to_ends: ends,
            reaches: if lengthened { Reaches::Lengthened } else { Reaches::Bent },
            ..SnapEnds::default()
        };
        let done = run(objects.clone(), &settings);
        prop_assert_eq!(format!("{:?}", run(objects.clone(), &settings)), format!("{done:?}"));
        for (before, after) in objects.iter().zip(&done) {
            let (Shape::Lines(before), Shape::Lines(after)) = (&before.shape, &after.shape) else {
                continue;
            };
            prop_assert_eq!(before.paths.len(), after.paths.len());
            for (before, after) in before.paths.iter().zip(&after.paths) {
                if before.closed || format!("{before:?}") == format!("{after:?}") {
                    continue;
                }
                prop_assert!(after.x.len() > 1, "{before:?} was pressed into a dot");
                let ends = |line: &Polyline| (line.corners().next(), line.corners().next_back());
                let ((a, b), (c, d)) = (ends(before), ends(after));
                let d = if after.closed { c } else { d };
                for (before, after) in [(a, c), (b, d)] {
                    let far = distance(before.expect("two ends"), after.expect("two ends"));
                    prop_assert!(far <= reach + 1e-9, "{far}");
                }
            }
        }
    }
}
