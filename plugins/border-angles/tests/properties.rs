//! What holds whatever lies beside whatever.

mod drawings;

use drawings::{angles, oblong, region, turned, turned_with};
use hoopwright_border_angles::{BorderAngles, border_angles};
use hoopwright_sdk::prelude::*;
use proptest::prelude::*;

fn apart(a: f64, b: f64) -> f64 {
    let turn = (a - b).rem_euclid(180.0);
    turn.min(180.0 - turn)
}

/// A board of squares of 10 mm, some left out: its graph has two sides. The more there are, the less can all
/// ways be tried.
fn board(columns: usize, there: &[bool]) -> Vec<(usize, usize)> {
    let squares = there.iter().enumerate().filter(|(_, there)| **there);
    squares
        .map(|(at, _)| (at % columns, at / columns))
        .collect()
}

fn squares(board: &[(usize, usize)]) -> Vec<Object> {
    let square = |&(column, row): &(usize, usize)| {
        let (x, y) = (10.0 * column as f64, 10.0 * row as f64);
        region(&format!("{column}-{row}"), &oblong(x, y, 10., 10.))
    };
    board.iter().map(square).collect()
}

proptest! {
    #[test]
    fn on_a_board_all_neighbours_differ(
        columns in 1..9_usize,
        there in proptest::collection::vec(proptest::bool::weighted(0.8), 1..60),
        least_turn in 30.0..90.0_f64,
    ) {
        let board = board(columns, &there);
        let settings = BorderAngles { least_turn, ..BorderAngles::default() };
        let after = turned_with(squares(&board), &settings);
        for (a, at) in after.iter().zip(&board) {
            let neighbours = board.iter().zip(&after).filter(|(other, _)| {
                at.0.abs_diff(other.0) + at.1.abs_diff(other.1) == 1
            });
            let mut alone = true;
            for (_, b) in neighbours {
                alone = false;
                let both = (a.sewing.angle, b.sewing.angle);
                let (Some(one), Some(other)) = both else {
                    return Err(TestCaseError::fail(format!("{both:?}")));
                };
                prop_assert!(apart(one, other) >= least_turn - 1e-6, "{one} {other}");
            }
            prop_assert_eq!(a.sewing.angle.is_none(), alone);
        }
        // No more than half is turned.
        let is_turned = |angle: &&Option<f64>| angle.is_some_and(|angle| angle != 45.0);
        let turned = angles(&after).iter().filter(is_turned).count();
        prop_assert!(2 * turned <= board.len());
    }

    /// Oblongs anywhere, in two threads, some not selected, some with an angle of their own.
    #[test]
    fn nothing_but_free_selected_angles_changes(
        cells in proptest::collection::vec(
            (0..6_u8, 0..6_u8, 1..4_u8, 1..4_u8, 0..2_u32, proptest::option::weighted(0.2, 0.0..180.0_f64)),
            1..14,
        ),
        selected in proptest::collection::vec(any::<bool>(), 14),
        shift in (-300_i32..300, -300_i32..300),
    ) {
        let drawn = |(dx, dy): (i32, i32)| {
            let cells = cells.iter().enumerate();
            let objects = cells.map(|(number, &(x, y, wide, high, thread, angle))| {
                let (x, y) = (5. * f64::from(x) + f64::from(dx), 5. * f64::from(y) + f64::from(dy));
                let area = oblong(x, y, 5. * f64::from(wide), 5. * f64::from(high));
                let mut object = region(&format!("cell-{number}"), &area);
                object.thread = thread;
                object.sewing.angle = angle;
                object
            });
            Design::on_page(100., 100., objects.collect())
        };
        let selected: Vec<usize> = (0..cells.len()).filter(|&at| selected[at]).collect();
        let settings = BorderAngles::default();
        let before = drawn((0, 0));
        let after = border_angles(before.clone(), &selected, &settings).expect("it works");
        let mut as_before = after.clone();
        for (place, object) in as_before.objects.iter_mut().enumerate() {
            if selected.contains(&place) && before.objects[place].sewing.angle.is_none() {
                object.sewing.angle = None;
            }
        }
        prop_assert_eq!(&as_before, &before);
        // Again, and elsewhere.
        let again = border_angles(after.clone(), &selected, &settings).expect("it works");
        prop_assert_eq!(&again, &after);
        let elsewhere = border_angles(drawn(shift), &selected, &settings).expect("it works");
        prop_assert_eq!(angles(&elsewhere.objects), angles(&after.objects));
    }
}

/// As many as a large design has, in good time.
#[test]
fn a_large_board_takes_no_time() {
    let board = board(60, &[true; 3600]);
    let after = turned(squares(&board));
    let base = after.iter().filter(|it| it.sewing.angle == Some(45.0));
    assert_eq!(base.count(), 1800);
}
