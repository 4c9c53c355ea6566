use super::*;
use hoopwright_sdk::geometry::{
    curves, geo::Contains, geo::MultiPolygon, geo::line_string, geo::polygon, kurbo,
};

fn thread() -> Thread {
    Thread {
        name: "Soot".into(),
        code: "S".into(),
        red: 0,
        green: 0,
        blue: 0,
        weight: 40,
    }
}

fn sketched(area: &MultiPolygon<f64>, settings: &RunningSketch) -> Vec<Stitch> {
    let object = Object::of_region("leaf", area);
    let done = running_sketch(object, &thread(), settings);
    let object = done.unwrap_or_else(|why| panic!("{why:?}"));
    stitches_of(&object.stitches).collect()
}

fn length(stitches: &[Stitch]) -> f64 {
    let steps = stitches.windows(2);
    steps
        .map(|pair| measure::distance(pair[0].at, pair[1].at))
        .sum()
}

/// 20 by 20 mm with a square hole of 4 mm in it.
fn frame() -> MultiPolygon<f64> {
    polygon!(
        exterior: [(x: 0., y: 0.), (x: 20., y: 0.), (x: 20., y: 20.), (x: 0., y: 20.)],
        interiors: [[(x: 8., y: 8.), (x: 12., y: 8.), (x: 12., y: 12.), (x: 8., y: 12.)]],
    )
    .into()
}

fn level(line_distance: f64) -> RunningSketch {
    RunningSketch {
        line_distance,
        angle: 0.0,
        inset: 0.0,
        ..RunningSketch::default()
    }
}

/// By hand: lines at y = 1, 4, 7, 10, 13, 16, 19, of which the one at 10 is cut by the hole into two of
/// 8 mm. The edges are 80 and 16 mm. The outer line to the hole is sewn whole, there and back; the other
/// seven stop 0.6 mm short:
/// 80 + 16 + 2 × 8 + 2 × (6 × (20 - 0.6) + (8 - 0.6)) = 359.6 mm.
#[test]
fn the_thread_is_as_long_as_reckoned_by_hand() {
    let stitches = sketched(&frame(), &level(3.0));
    let sewn = length(&stitches);
    assert!((sewn - 359.6).abs() < 0.01, "{sewn}");
}

#[test]
fn it_is_one_thread_that_ends_where_it_began() {
    for line_distance in [0.8, 1.5, 3.0, 7.0, 50.0] {
        for angle in [0.0, 30.0, 45.0, 90.0] {
            let settings = RunningSketch {
                angle,
                ..level(line_distance)
            };
            let stitches = sketched(&frame(), &settings);
            assert!(stitches.iter().all(|s| s.kind == StitchKind::Needle));
            let (first, last) = (stitches[0].at, stitches[stitches.len() - 1].at);
            assert!(
                measure::distance(first, last) < 0.3,
                "{line_distance} {angle}"
            );
            for pair in stitches.windows(2) {
                let step = measure::distance(pair[0].at, pair[1].at);
                assert!((0.3..=2.5 + 1e-9).contains(&step), "{step}");
            }
        }
    }
}

#[test]
fn no_thread_leaves_the_region_and_every_edge_is_sewn() {
    let disc = curves::area(&kurbo::Circle::new((30.0, 30.0), 15.0), 0.01);
    let eye = curves::area(&kurbo::Circle::new((33.0, 27.0), 5.0), 0.01);
    let ring = geometry::area::difference(&disc, &eye);
    let stitches = sketched(&ring, &RunningSketch::default());
    for pair in stitches.windows(2) {
        let middle = (pair[0].at + pair[1].at) / 2.0;
        // A chord of a round edge may stray by the tenth of a mm that a run may leave its line by.
        let inside = ring.contains(&middle) || measure::distance_to_edge(middle, &ring) < 0.1;
        assert!(inside, "{middle:?}");
    }
    for (x, y, radius) in [(30.0, 30.0, 14.8), (33.0, 27.0, 5.2)] {
        for degrees in 0..360 {
            let (sin, cos) = f64::from(degrees).to_radians().sin_cos();
            let on_edge = Coord {
                x: x + radius * cos,
                y: y + radius * sin,
            };
            let near = stitches
                .windows(2)
                .map(|pair| measure::to_edge(on_edge, [pair[0].at, pair[1].at]));
            assert!(near.fold(f64::MAX, f64::min) < 0.15, "{degrees}");
        }
    }
}

#[test]
fn no_place_is_hit_three_times() {
    let stitches = sketched(&frame(), &level(3.0));
    for a in &stitches {
        let hits = stitches
            .iter()
            .filter(|b| measure::distance(a.at, b.at) < 0.2);
        assert!(hits.count() < 3, "{:?}", a.at);
    }
}

#[test]
fn a_hole_that_all_lines_would_miss_is_sewn_too() {
    // Lines 15 mm apart about the middle: at y = 10 only, and the hole lies from 14 to 16.
    let area: MultiPolygon<f64> = polygon!(
        exterior: [(x: 0., y: 0.), (x: 20., y: 0.), (x: 20., y: 20.), (x: 0., y: 20.)],
        interiors: [[(x: 8., y: 14.), (x: 12., y: 14.), (x: 12., y: 16.), (x: 8., y: 16.)]],
    )
    .into();
    let stitches = sketched(&area, &level(15.0));
    assert!(stitches.iter().all(|s| s.kind == StitchKind::Needle));
    // 80 + 12 on the edges; 10 lies on a line of 20, less 0.6; at 15 two of 8, one whole.
    let formula = 80.0 + 12.0 + 2.0 * (19.4 + 8.0 + 7.4);
    assert!((length(&stitches) - formula).abs() < 0.01);
}

#[test]
fn an_object_s_own_angle_and_start_win() {
    let mut object = Object::of_region("leaf", &frame());
    object.sewing.angle = Some(90.0);
    object.sewing.start = Some(Point { x: 20.0, y: 20.0 });
    let done = running_sketch(object, &thread(), &level(3.0));
    let stitches: Vec<Stitch> = done.map_or(vec![], |o| stitches_of(&o.stitches).collect());
    assert_eq!(
        stitches.first().map(|s| s.at),
        Some(Coord { x: 20.0, y: 20.0 })
    );
    // Upright lines stop 0.6 mm before the edge, at x = 1, 4, …
    let tip = |s: &&Stitch| (s.at.y - 0.6).abs() < 1e-6 || (s.at.y - 19.4).abs() < 1e-6;
    let tips: Vec<f64> = stitches.iter().filter(tip).map(|s| s.at.x).collect();
    // From the lower right corner the thread goes along the lower edge first. The second half of the line
    // that the hole cuts is sewn from the hole, so all seven have a tip at an edge.
    let wanted = [19.0, 16.0, 13.0, 10.0, 7.0, 4.0, 1.0];
    assert_eq!(tips.len(), wanted.len());
    for (tip, wanted) in tips.iter().zip(wanted) {
        assert!((tip - wanted).abs() < 1e-6, "{tips:?}");
    }
}

#[test]
fn parts_are_threads_of_their_own() {
    let two: MultiPolygon<f64> = MultiPolygon::new(vec![
        polygon![(x: 0., y: 0.), (x: 9., y: 0.), (x: 9., y: 9.), (x: 0., y: 9.)],
        polygon![(x: 30., y: 0.), (x: 39., y: 0.), (x: 39., y: 9.), (x: 30., y: 9.)],
    ]);
    let stitches = sketched(&two, &level(3.0));
    let jumps = stitches
        .iter()
        .filter(|s| s.kind == StitchKind::Jump)
        .count();
    assert_eq!(jumps, 1);
}

#[test]
fn what_cannot_be_sketched_comes_back_with_a_word() {
    messages::take();
    let line = Object::of_line("w", &line_string![(x: 0., y: 0.), (x: 9., y: 0.)], 1.0);
    let same = running_sketch(line.clone(), &thread(), &RunningSketch::default());
    assert_eq!(same, Ok(line));
    let thin = polygon![(x: 0., y: 0.), (x: 9., y: 0.), (x: 9., y: 0.3), (x: 0., y: 0.3)];
    let thin = Object::of_region("t", &thin.into());
    let same = running_sketch(thin.clone(), &thread(), &RunningSketch::default());
    assert_eq!(same, Ok(thin));
    assert_eq!(messages::take().len(), 2);
}
