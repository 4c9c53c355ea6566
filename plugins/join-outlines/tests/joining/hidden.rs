//! Ways and stretches under what is sewn later.

use crate::drawing::{ids, joined, length, line, lines_of, patch};
use hoopwright_join_outlines::JoinOutlines;
use hoopwright_sdk::geometry::geo::{Contains, Rect};
use hoopwright_sdk::prelude::*;

/// Whiskers that end under both sides of a nose.
fn whiskers() -> Vec<Object> {
    vec![
        line("left", &[(0., 5.), (10.4, 5.)]),
        line("right", &[(19.6, 5.), (30., 5.)]),
        line("lower-right", &[(19.6, 6.), (30., 9.)]),
        patch("nose", (10., 0.), (20., 10.)),
    ]
}

#[test]
fn parts_that_end_under_one_object_become_one_trail() {
    let (objects, findings) = joined(whiskers(), &JoinOutlines::default());
    assert_eq!(ids(&objects), ["left", "nose"]);
    let drawn = 10.4 * 2.0 + (10.4_f64.powi(2) + 9.0).sqrt();
    // One way from side to side, and one from end to end on the right; of three free ends one
    // has to be left again, all along its whisker.
    assert!(
        length(&objects[0]) < drawn + 9.3 + 1.0 + 10.9,
        "{}",
        length(&objects[0])
    );
    let message = &findings[0].message;
    assert!(
        message.contains("hidden ways link its 3 pieces"),
        "{message}"
    );
    assert!(
        message.contains("trims 2 before, 2 by Euler, 0 now"),
        "{message}"
    );
    // What is not on a drawn line lies under the nose.
    let nose = Rect::new((10., 0.), (20., 10.));
    for at in lines_of(&objects[0]).iter().flat_map(|line| &line.0) {
        let on_line = at.x <= 10.4 || at.x >= 19.6;
        assert!(on_line || nose.contains(at), "{at:?}");
    }
}

#[test]
fn nothing_is_linked_beyond_the_length_allowed_or_in_the_open() {
    let off = JoinOutlines {
        hidden_travel: 0.0,
        ..JoinOutlines::default()
    };
    assert_eq!(joined(whiskers(), &off).0, whiskers());
    let short = JoinOutlines {
        hidden_travel: 3.0,
        ..JoinOutlines::default()
    };
    assert_eq!(
        ids(&joined(whiskers(), &short).0),
        ["left", "right", "nose"]
    );
    let mut below = whiskers();
    below.rotate_right(1);
    assert_eq!(joined(below.clone(), &JoinOutlines::default()).0, below);
    let mut open = whiskers();
    open.pop();
    assert_eq!(joined(open.clone(), &JoinOutlines::default()).0, open);
    // Two noses with a gap between.
    let mut gap = whiskers();
    gap[3] = patch("one", (10., 0.), (14., 10.));
    gap.push(patch("two", (16., 0.), (20., 10.)));
    let gap = joined(gap, &JoinOutlines::default()).0;
    assert_eq!(ids(&gap), ["left", "right", "one", "two"]);
}

#[test]
fn touching_covers_hide_as_one() {
    let mut two = whiskers();
    two[3] = patch("one", (10., 0.), (15., 10.));
    two.push(patch("two", (15., 0.), (20., 10.)));
    assert_eq!(
        ids(&joined(two, &JoinOutlines::default()).0),
        ["left", "one", "two"]
    );
}

/// A square with a bar between two sides has two odd joints. To come back, some way between them
/// is sewn again: the bar, unless a longer side lies out of sight.
#[test]
fn what_is_sewn_again_is_what_will_not_be_seen() {
    let drawn = || {
        vec![
            line(
                "frame",
                &[(0., 0.), (20., 0.), (20., 10.), (0., 10.), (0., 0.)],
            ),
            line("bar", &[(8., 0.), (8., 10.)]),
        ]
    };
    let back = JoinOutlines {
        come_back: true,
        ..JoinOutlines::default()
    };
    let (objects, _) = joined(drawn(), &back);
    assert!((length(&objects[0]) - 80.0).abs() < 1e-6);
    let mut covered = drawn();
    covered.push(patch("wing", (-1., -1.), (7.9, 11.)));
    let (objects, findings) = joined(covered, &back);
    // The left side of the frame: 8 + 10 + 8 mm.
    assert!(
        (length(&objects[0]) - 96.0).abs() < 1e-6,
        "{}",
        length(&objects[0])
    );
    let message = &findings[0].message;
    assert!(message.contains("out of sight"), "{message}");
}

#[test]
fn a_ring_under_cover_is_linked_too() {
    let ring: Vec<(f64, f64)> = [(2., 2.), (8., 2.), (8., 8.), (2., 8.), (2., 2.)].to_vec();
    let objects = vec![
        line("ring", &ring),
        line("stalk", &[(12., 5.), (30., 5.)]),
        patch("cover", (0., 0.), (14., 10.)),
    ];
    let (objects, _) = joined(objects, &JoinOutlines::default());
    assert_eq!(ids(&objects), ["ring", "cover"]);
    assert!((24.0 + 18.0 + 3.9..24.0 + 18.0 + 5.1).contains(&length(&objects[0])));
}

/// Four lines under a large patch, with many ways between them: the bound is stated.
#[test]
fn with_ways_to_choose_from_the_bound_is_said() {
    let mut objects: Vec<Object> = (0..4)
        .map(|i| f64::from(i) * 3.0)
        .map(|y| line(&format!("row-{y}"), &[(2., y + 2.), (18., y + 2.)]))
        .collect();
    objects.push(patch("cover", (0., 0.), (20., 15.)));
    let (objects, findings) = joined(objects, &JoinOutlines::default());
    assert_eq!(objects.len(), 2);
    assert!(
        findings.iter().any(|f| f.message.contains("Frederickson")),
        "{findings:?}"
    );
    // From row to row at either side takes 9 mm of ways; the walk may take half as long again.
    let ways = length(&objects[0]) - 64.0;
    assert!((9.0 - 1e-6..=16.0).contains(&ways), "{ways}");
}
