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

#[test]
fn thin_lines_and_stitches_placed_by_hand_cover_nothing() {
    let objects = vec![
        line("first", &[(0., 5.), (10., 5.)]),
        {
            let mut thin = wide("thin", &[(0., 5.), (10., 5.)], 0.9);
            thin.thread = 1;
            thin
        },
        Object::new("hand", Shape::Manual),
        line("last", &[(0., 5.), (0., 20.)]),
    ];
    let (objects, _) = joined(objects, &JoinOutlines::default());
    assert_eq!(ids(&objects), ["thin", "hand", "first"]);
}
