//! The painted order: no piece comes out above what covers it.

use crate::drawing::{ids, joined, line, patch, wide};
use hoopwright_join_outlines::JoinOutlines;
use hoopwright_sdk::prelude::*;

#[test]
fn a_piece_that_something_covers_is_not_joined_to_what_comes_after() {
    let objects = vec![
        line("below", &[(0., 5.), (10., 5.)]),
        line("beside", &[(0., 5.), (0., 20.)]),
        patch("wing", (2., 0.), (8., 10.)),
        line("above", &[(10., 5.), (20., 5.)]),
        line("tip", &[(20., 5.), (20., 9.)]),
    ];
    let (objects, _) = joined(objects, &JoinOutlines::default());
    assert_eq!(ids(&objects), ["below", "wing", "above"]);
}

#[test]
fn a_line_tucked_in_under_a_patch_may_still_come_after_it() {
    let objects = vec![
        line("first", &[(0., 5.), (10., 5.)]),
        patch("wing", (9.6, 0.), (20., 10.)),
        line("last", &[(0., 5.), (0., 20.)]),
    ];
    let (objects, _) = joined(objects, &JoinOutlines::default());
    assert_eq!(ids(&objects), ["wing", "first"]);
}

#[test]
fn wide_pieces_of_one_thread_do_not_bar_each_other() {
    let objects = vec![
        wide("a", &[(0., 0.), (10., 0.)], 3.0),
        wide("b", &[(10., 0.), (10., 10.)], 3.0),
        wide("c", &[(10., 10.), (0., 0.)], 3.0),
    ];
    let (objects, _) = joined(objects, &JoinOutlines::default());
    assert_eq!(ids(&objects), ["a"]);
}

/// What is drawn over something is sewn after it, however thin it is (common practice): here a
/// line thinner than the outline runs along on top of it.
#[test]
fn a_line_does_not_come_out_above_a_thinner_one_drawn_over_it() {
    for width in [0.0, 0.4, 0.9] {
        let objects = vec![
            wide("first", &[(0., 5.), (10., 5.)], 1.2),
            {
                let mut thin = wide("thin", &[(1., 5.), (9., 5.)], width);
                thin.thread = 1;
                thin
            },
            wide("last", &[(0., 5.), (0., 20.)], 1.2),
            wide("end", &[(0., 20.), (9., 20.)], 1.2),
        ];
        let (objects, _) = joined(objects, &JoinOutlines::default());
        assert_eq!(ids(&objects), ["first", "thin", "last"], "{width} mm");
    }
}

#[test]
fn a_line_does_not_come_out_above_stitches_placed_by_hand() {
    let mut hand = Object::new("hand", Shape::Manual);
    hand.thread = 1;
    let mut stitches = StitchList::new();
    for i in 0..20 {
        let x = 3.0 + 0.2 * f64::from(i);
        let y = if i % 2 == 0 { 4.0 } else { 6.0 };
        stitches.needle(StitchRole::Cover, geo::Coord { x, y });
    }
    hand.stitches = stitches.into_blocks();
    let over = |hand: Object| {
        vec![
            line("first", &[(0., 5.), (10., 5.)]),
            hand,
            line("last", &[(0., 5.), (0., 20.)]),
        ]
    };
    let (objects, _) = joined(over(hand.clone()), &JoinOutlines::default());
    assert_eq!(ids(&objects), ["first", "hand", "last"]);
    // Of one thread, or without a stitch, it bars nothing.
    hand.thread = 0;
    let (objects, _) = joined(over(hand.clone()), &JoinOutlines::default());
    assert_eq!(ids(&objects), ["hand", "first"]);
    hand.thread = 1;
    hand.stitches.clear();
    let (objects, _) = joined(over(hand), &JoinOutlines::default());
    assert_eq!(ids(&objects), ["hand", "first"]);
}

/// A line that is only crossed by a thread shows no less for it: half a millimetre is let be.
#[test]
fn a_thread_across_bars_nothing_and_thin_lines_hide_nothing() {
    let across = |id: &str, x: f64| {
        let mut across = line(id, &[(x, 0.), (x, 10.)]);
        across.thread = 1;
        across
    };
    let objects = vec![
        line("first", &[(0., 5.), (10., 5.)]),
        across("across", 4.0),
        line("last", &[(0., 5.), (0., 20.)]),
        line("apart", &[(12., 5.), (20., 5.)]),
        {
            let mut thin = wide("thin", &[(0., 5.), (20., 5.)], 0.9);
            thin.thread = 1;
            thin
        },
    ];
    let (objects, _) = joined(objects, &JoinOutlines::default());
    assert_eq!(ids(&objects), ["across", "first", "apart", "thin"]);
}
