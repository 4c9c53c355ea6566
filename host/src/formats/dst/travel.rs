//! A way of any length as moves that a record can tell.

use super::grid::{Units, way};
use super::record::{Move, Reach};

/// How many equal moves `way` needs where none goes farther than `most` units along an axis.
pub fn parts_needed(way: Units, most: i32) -> usize {
    reach(way).div_ceil(most.max(1).unsigned_abs()) as usize
}

/// `way` in `parts` moves, as equal as whole units allow.
pub fn split(way: Units, parts: usize) -> Vec<Move> {
    let landings = (1..=parts).map(|part| share(way, part, parts));
    moves([0, 0], landings)
}

/// `way` in `parts` moves of which the last is a stitch and all others are jumps.
///
/// The stitch is never so short that the needle would hit its own hole: a way too short to be
/// split so is jumped out and back around its end. (That a trim in place jumps out and back, and
/// does not stand still, is what the published (2, 2), (-4, -4) pattern does.)
pub fn approach(way: Units, parts: usize) -> Vec<Move> {
    let parts = parts.max(2);
    if reach(way) as usize >= SHORTEST_APPROACH as usize * parts {
        return split(way, parts);
    }
    // Two places on either side of the end, neither of which is the start.
    let side = |sign: i32, slope: i32| {
        let off = sign * SHORTEST_APPROACH;
        [way[0] + off, way[1] + off * slope]
    };
    let start = [0, 0];
    let slope = if side(1, 1) == start || side(-1, 1) == start {
        -1
    } else {
        1
    };
    let jumps = (1..parts).map(|jump| {
        let sign = if (parts - jump) % 2 == 1 { -1 } else { 1 };
        side(sign, slope)
    });
    moves(start, jumps.chain([way]))
}

/// The shortest stitch that ends a sequence of jumps, in units along an axis: 0.3 mm.
const SHORTEST_APPROACH: i32 = 3;

/// The greater of the two axes.
fn reach(way: Units) -> u32 {
    way[0].unsigned_abs().max(way[1].unsigned_abs())
}

/// `part` of `parts` of the way, to the nearest unit.
fn share(way: Units, part: usize, parts: usize) -> Units {
    way.map(|axis| {
        let (axis, part, parts) = (i64::from(axis), part as i64, parts as i64);
        let rounded = (2 * axis * part + parts).div_euclid(2 * parts);
        i32::try_from(rounded).unwrap_or_default()
    })
}

/// The moves from landing to landing.
fn moves(start: Units, landings: impl Iterator<Item = Units>) -> Vec<Move> {
    let mut at = start;
    landings
        .map(|landing| {
            let [x, y] = way(at, landing);
            at = landing;
            Move {
                x: Reach::nearest(x),
                y: Reach::nearest(y),
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn sum(moves: &[Move]) -> Units {
        moves
            .iter()
            .fold([0, 0], |[x, y], m| [x + m.x.units(), y + m.y.units()])
    }

    #[test]
    fn a_way_of_121_is_one_move_and_122_is_two() {
        assert_eq!(parts_needed([121, -121], 121), 1);
        assert_eq!(parts_needed([122, 0], 121), 2);
        assert_eq!(
            split([122, -3], 2),
            [Move::new(61, -1), Move::new(61, -2)].map(Option::unwrap_or_default)
        );
    }

    #[test]
    fn a_trim_in_place_goes_out_and_back() {
        let moves = approach([0, 0], 4);
        let expected = [(-3, -3), (6, 6), (-6, -6), (3, 3)];
        let expected = expected.map(|(x, y)| Move::new(x, y).unwrap_or_default());
        assert_eq!(moves, expected);
    }

    proptest! {
        #[test]
        fn moves_end_where_the_way_ends_and_none_stands_still(
            x in -20_000i32..20_000, y in -20_000i32..20_000, small in 0u32..3, jumps in 1usize..9,
            most in 30i32..=121,
        ) {
            // Short ways matter as much as long ones.
            let shrink = [1, 100, 2000][small as usize];
            let way = [x / shrink, y / shrink];
            let parts = parts_needed(way, most).max(jumps + 1);
            let moves = approach(way, parts);
            prop_assert_eq!(moves.len(), parts);
            prop_assert_eq!(sum(&moves), way);
            for m in &moves {
                prop_assert!(!m.is_still());
                prop_assert!(m.x.units().abs() <= most && m.y.units().abs() <= most);
            }
            let closing = moves.last().copied().unwrap_or_default();
            prop_assert!(closing.x.units().abs().max(closing.y.units().abs()) >= 3);
        }
    }
}
