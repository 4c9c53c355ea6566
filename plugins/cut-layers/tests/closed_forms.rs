//! Areas and lengths after cutting that can be worked out by hand: pi r², and the underlap.

mod drawings;

use drawings::{
    area, cut, cut_with, disc, ids, lengths, line, object, oblong, paths, region, size, square,
};
use hoopwright_cut_layers::CutLayers;
use hoopwright_sdk::geometry::geo::{Area, LineString, Polygon};
use hoopwright_sdk::messages;
use hoopwright_sdk::prelude::*;
use std::f64::consts::PI;

fn near(value: f64, expected: f64, share: f64) {
    assert!(
        (value - expected).abs() <= share * expected,
        "{value} is not {expected}"
    );
}

#[test]
fn a_disc_leaves_a_hole_smaller_by_the_underlap() {
    let cut = cut(vec![
        region("ground", &square(0., 0., 30.)),
        region("disc", &disc(15., 15., 10.)),
    ]);
    near(size(&cut, "ground"), 900.0 - PI * 9.2 * 9.2, 1e-3);
    near(size(&cut, "disc"), PI * 100.0, 1e-4);
    assert_eq!(area(object(&cut, "ground")).0[0].interiors().len(), 1);
}

#[test]
fn concentric_discs_become_rings() {
    let cut = cut(vec![
        region("large", &disc(20., 20., 20.)),
        region("middle", &disc(20., 20., 14.)),
        region("small", &disc(20., 20., 8.)),
    ]);
    near(size(&cut, "large"), PI * (400.0 - 13.2 * 13.2), 1e-3);
    near(size(&cut, "middle"), PI * (196.0 - 7.2 * 7.2), 1e-3);
    near(size(&cut, "small"), PI * 64.0, 1e-4);
}

#[test]
fn the_underlap_goes_by_what_lies_above() {
    let settings = CutLayers {
        under_fills: 1.0,
        under_narrow: 0.6,
        under_lines: 0.4,
        ..CutLayers::default()
    };
    let ground = region("ground", &oblong(0., 0., 100., 20.));
    let across = |upper: Object| {
        let cut = cut_with(vec![ground.clone(), upper], &settings);
        size(&cut, "ground")
    };
    // Each upper crosses the ground from edge to edge, so that two straight edges are cut.
    let fill = across(region("fill", &oblong(40., -5., 20., 30.)));
    near(fill, 2000.0 - 20.0 * 18.0, 1e-6);
    let narrow = across(region("narrow", &oblong(40., -5., 4., 30.)));
    near(narrow, 2000.0 - 20.0 * (4.0 - 1.2), 1e-6);
    let stroke = across(line("line", &[(42., -5.), (42., 25.)], 3.0));
    near(stroke, 2000.0 - 20.0 * (3.0 - 0.8), 1e-6);
}

#[test]
fn a_line_across_a_square_is_clipped_and_clips() {
    // A fine line beneath: what is hidden of it goes, less the underlap beneath a fill.
    let below = cut(vec![
        line("line", &[(0., 15.), (50., 15.)], 0.5),
        region("square", &square(10., 0., 30.)),
    ]);
    let lengths_below = lengths(&below, "line");
    assert_eq!(lengths_below.len(), 2);
    for length in lengths_below {
        near(length, 10.8, 1e-6);
    }
    // A fine line above cuts nothing.
    let above = cut(vec![
        region("square", &square(10., 0., 30.)),
        line("line", &[(0., 15.), (50., 15.)], 0.5),
    ]);
    assert_eq!(size(&above, "square"), 900.0);
    assert_eq!(lengths(&above, "line"), [50.0]);
}

#[test]
fn a_wide_line_goes_no_farther_beneath_than_the_underlap() {
    let cut = cut(vec![
        line("line", &[(0., 15.), (50., 15.)], 6.0),
        region("square", &square(10., 0., 30.)),
    ]);
    for length in lengths(&cut, "line") {
        near(length, 10.8, 1e-6);
    }
}

/// Under an edge at 45 degrees the whole breadth of a line 6 wide is hidden 3 mm later.
#[test]
fn a_line_is_hidden_only_where_its_whole_width_is() {
    let corners = vec![(10., 0.), (60., 0.), (60., 40.), (50., 40.)];
    let slanted = geo::Polygon::new(corners.into(), Vec::new());
    let cut = cut(vec![
        line("line", &[(0., 20.), (55., 20.)], 6.0),
        region("slanted", &slanted.into()),
    ]);
    // The edge is at x = 30 on the line's middle, and at x = 33 on its lower side.
    let [length] = lengths(&cut, "line")[..] else {
        panic!("one piece stays");
    };
    near(length, 33.8, 1e-3);
}

#[test]
fn three_layers_that_are_stacked_are_cut_down_to_one() {
    let cut = cut(vec![
        region("bottom", &square(0., 0., 40.)),
        region("middle", &square(5., 5., 30.)),
        region("top", &square(5., 5., 30.)),
    ]);
    assert_eq!(ids(&cut), ["bottom", "top"]);
    near(size(&cut, "bottom"), 1600.0 - 28.4 * 28.4, 1e-3);
    let told: Vec<String> = messages::take().into_iter().map(|f| f.message).collect();
    assert!(
        told.iter()
            .any(|m| m.contains("\"middle\" is hidden by \"top\"")),
        "{told:?}"
    );
    // Before: 900 twice; now: the underlap of the square, 900 - 28.4² = 93.4, and (4 - pi) 0.75² =
    // 0.5 for the corners of the hole, which are as round as the least cut is wide.
    assert!(
        told.iter()
            .any(|m| m.starts_with("Layers beneath layers: 1800 mm² before, 94 mm² now")),
        "{told:?}"
    );
}

#[test]
fn what_lies_beside_a_hidden_edge_is_cut_off_without_a_rim() {
    // The lower square goes 10 mm beneath the upper one; no strip stays along its hidden edges.
    let cut = cut(vec![
        region("lower", &square(0., 0., 30.)),
        region("upper", &oblong(20., -10., 40., 50.)),
    ]);
    near(size(&cut, "lower"), 30.0 * 20.8, 1e-6);
    assert_eq!(area(object(&cut, "lower")).0[0].exterior().0.len(), 5);
}

#[test]
fn uppers_that_meet_hide_together() {
    let cut = cut(vec![
        region("lower", &square(0., 0., 30.)),
        region("left", &oblong(5., 5., 10., 20.)),
        region("right", &oblong(15., 5., 10., 20.)),
    ]);
    near(size(&cut, "lower"), 900.0 - 18.4 * 18.4, 1e-3);
}

#[test]
fn small_and_narrow_uppers_cut_nothing() {
    let ground = square(0., 0., 30.);
    for upper in [
        // After the underlap of 0.5: 1.9² mm².
        square(10., 10., 2.9),
        // After the underlap: 1.4 mm wide.
        oblong(2., 10., 26., 2.4),
        // Narrower than twice the underlap.
        oblong(-2., 10., 40., 0.9),
    ] {
        let before = region("ground", &ground);
        let cut = cut(vec![before.clone(), region("upper", &upper)]);
        assert_eq!(object(&cut, "ground"), &before);
    }
    let cut = cut(vec![
        region("ground", &ground),
        region("u", &oblong(2., 10., 26., 2.6)),
    ]);
    near(size(&cut, "ground"), 900.0 - 25.0 * 1.6, 1e-3);
}

/// A disc with another of nearly its size on it: a crescent 0.2 mm wide at most shows as little as
/// its other side, and one 0.6 mm wide must become wide enough to sew.
#[test]
fn a_crescent_is_widened_beneath_its_neighbour() {
    let settings = CutLayers {
        under_fills: 0.5,
        least_width: 1.2,
        ..CutLayers::default()
    };
    let moon = |shift: f64| {
        let objects = vec![
            region("moon", &disc(20., 20., 10.)),
            region("shade", &disc(20. + shift, 20., 10.)),
        ];
        cut_with(objects, &settings)
    };
    assert_eq!(ids(&moon(0.2)), ["shade"]);
    let cut = moon(0.6);
    let left = area(object(&cut, "moon"));
    // It shows 0.6 mm at the thickest, and would be 1.1 wide with the underlap alone.
    let circle = hoopwright_sdk::geometry::measure::largest_circle(&left, 0.001).expect("a circle");
    assert!(2.0 * circle.radius > 1.19, "{}", circle.radius);
    assert_eq!(left.0.len(), 1);
}

/// A strip 0.4 mm wide shows of the ground. It must be 1 mm wide, and there is no use in more than a quarter
/// of that besides: beneath one neighbour it goes on by 0.6 mm, between two by 0.3 mm beneath each.
#[test]
fn a_strip_is_widened_no_farther_than_it_must_be() {
    let settings = CutLayers {
        under_fills: 0.2,
        ..CutLayers::default()
    };
    let width = |uppers: &[[f64; 2]]| {
        let mut objects = vec![region("ground", &oblong(0., 0., 20., 40.))];
        for (i, [left, right]) in uppers.iter().enumerate() {
            let upper = oblong(*left, -5., right - left, 50.);
            objects.push(region(&format!("upper-{i}"), &upper));
        }
        size(&cut_with(objects, &settings), "ground") / 40.0
    };
    let beside_one = width(&[[-5., 19.6]]);
    assert!((1.0..=1.25).contains(&beside_one), "{beside_one}");
    let between_two = width(&[[-5., 10.], [10.4, 25.]]);
    assert!((1.0..=1.25).contains(&between_two), "{between_two}");
}

#[test]
fn a_closed_line_opens_into_pieces_in_drawn_order() {
    let ring: Vec<(f64, f64)> = vec![(10., 10.), (50., 10.), (50., 50.), (10., 50.), (10., 10.)];
    let cut = cut(vec![
        line("ring", &ring, 1.0),
        region("upper", &oblong(20., 0., 20., 60.)),
    ]);
    let paths = paths(&cut, "ring");
    assert_eq!(paths.len(), 2);
    // The first piece goes round the drawn start, from the lower edge to the upper one.
    assert_eq!(
        paths[0].0.first().map(|c| (c.x.round(), c.y)),
        Some((21., 50.))
    );
    assert_eq!(
        paths[0].0.last().map(|c| (c.x.round(), c.y)),
        Some((21., 10.))
    );
    assert_eq!(
        paths[1].0.first().map(|c| (c.x.round(), c.y)),
        Some((39., 10.))
    );
    for length in lengths(&cut, "ring") {
        near(length, 60.0 + 2.0 * 0.8, 1e-6);
    }
    let Shape::Lines(lines) = &object(&cut, "ring").shape else {
        panic!("it stays lines");
    };
    assert!(lines.paths.iter().all(|path| !path.closed));
    assert_eq!(lines.width, 1.0);
}

#[test]
fn a_line_that_is_hidden_is_left_out_and_short_hidden_stretches_are_sewn_through() {
    let cut = cut(vec![
        line("hidden", &[(12., 12.), (38., 38.)], 1.0),
        line("bridged", &[(0., 20.), (9., 20.)], 1.0),
        region("upper", &square(10., 10., 30.)),
        // 2.6 mm hidden after the underlap.
        region("post", &oblong(3., 0., 3.6, 40.)),
    ]);
    assert_eq!(ids(&cut), ["bridged", "upper", "post"]);
    assert_eq!(lengths(&cut, "bridged"), [9.0]);
}

/// Where a cut ends on the lower object's slanting edge, rounding must not leave a hair of it that holds the
/// pieces together: they are sewn each by itself.
#[test]
fn pieces_hang_together_by_no_hair() {
    for slant in 1..40 {
        let falls = 0.0371 * f64::from(slant);
        let corners = [(0., 0.), (41.3, 0.), (41.3, 10.1 + falls), (0., 10.1)];
        let uppers = [(5.2, 7.1), (13.31, 9.7), (30.03, 6.3)];
        let lower = Polygon::new(LineString::from(corners.to_vec()), Vec::new());
        let mut objects = vec![region("lower", &lower.into())];
        for (i, (left, width)) in uppers.into_iter().enumerate() {
            let upper = oblong(left, -3., width, 30.);
            objects.push(region(&format!("upper-{i}"), &upper));
        }
        let cut = cut(objects);
        assert_eq!(area(object(&cut, "lower")).0.len(), 4, "{falls}");
    }
}

#[test]
fn an_object_in_pieces_stays_one_object() {
    let mut lower = region("lower", &oblong(0., 10., 60., 8.));
    lower.tags.push("wing".to_owned());
    lower.sewing.angle = Some(30.0);
    let before = lower.clone();
    let cut = cut(vec![lower, region("upper", &oblong(20., 0., 20., 40.))]);
    let after = object(&cut, "lower");
    assert_eq!(area(after).0.len(), 2);
    near(area(after).unsigned_area(), 2.0 * 20.8 * 8.0, 1e-6);
    let unshaped = Object {
        shape: before.shape.clone(),
        ..after.clone()
    };
    assert_eq!(unshaped, before);
}

/// Lines of one width that end alike: whether ends are sewn flat or round, of the lower one nothing shows.
#[test]
fn a_line_hides_its_own_duplicate_up_to_its_ends() {
    let ends = [(5., 5.), (65., 5.)];
    let beside = [(5., 5.1), (65., 5.1)];
    let [from, to] = ends;
    let bent = [from, (35., 5.), (60., 30.)];
    let pairs: [[&[(f64, f64)]; 2]; 4] = [
        [&ends, &ends],
        [&ends, &[to, from]],
        [&ends, &beside],
        [&bent, &bent],
    ];
    for [lower, upper] in pairs {
        messages::take();
        let cut = cut(vec![line("lower", lower, 1.6), line("upper", upper, 1.6)]);
        assert_eq!(ids(&cut), ["upper"], "{lower:?} beneath {upper:?}");
        if lower != beside && upper != beside {
            let told: Vec<String> = messages::take().into_iter().map(|f| f.message).collect();
            assert_eq!(
                told[0],
                "\"lower\" is hidden by \"upper\", and is left out."
            );
        }
    }
    // Two that meet end to end hide what runs through beneath them.
    let halves = [[from, (35., 5.)], [(35., 5.), to]];
    let [left, right] = halves.map(|half| line(&format!("{}", half[0].0), &half, 1.6));
    assert_eq!(
        ids(&cut(vec![line("lower", &ends, 1.6), left, right])),
        ["5", "35"]
    );
}

#[test]
fn what_shows_beyond_the_end_of_an_upper_line_stays() {
    let upper = || line("upper", &[(5., 5.), (65., 5.)], 1.6);
    let kept = |lower: Object| lengths(&cut(vec![lower, upper()]), "lower");
    // It goes on by 2 mm, as the duplicate does at its other end not at all.
    let [stub] = kept(line("lower", &[(5., 5.), (67., 5.)], 1.6))[..] else {
        panic!("one end shows");
    };
    // From half a width before the end on it may show, and the underlap is 0.5 mm more.
    assert!((2.5..=3.3 + 1e-6).contains(&stub), "{stub}");
    // It shows on both sides all along.
    assert_eq!(kept(line("lower", &[(5., 5.), (65., 5.)], 2.4)), [60.0]);
    // It ends in the corner of an angle, so that half of its own end shows.
    assert_eq!(kept(line("lower", &[(65., 2.), (65., 5.)], 1.6)), [3.0]);
    // It crosses where only a round end would hide it.
    let broad = line("broad", &[(20., 20.), (60., 20.)], 8.0);
    let across = line("lower", &[(17.5, 20.), (10., 20.)], 1.0);
    assert_eq!(lengths(&cut(vec![across, broad]), "lower"), [7.5]);
}
