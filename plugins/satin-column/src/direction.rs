//! Direction marks: crossings turned out of the square.
//!
//! A mark turns the crossing through its middle to its own direction. From one mark to the next
//! along a column the turn changes evenly; beyond the first and the last it stays, and dies away
//! only just before the column's ends, which keep their shape. A column that runs all the way round
//! has no ends: there the turn changes evenly from the last mark on to the first.

use crate::column::{Column, Rung};
use hoopwright_sdk::geometry::measure::{cross, distance, to_edge};
use hoopwright_sdk::geometry::measured::Measured;
use hoopwright_sdk::prelude::*;

/// A mark belongs to a column where it lies this near to one of its rungs, in mm.
const NEAR: f64 = 0.5;
/// How fast crossings may turn back towards an end, as a share of the fastest turn that keeps
/// them from crossing each other.
const DYING_AWAY: f64 = 0.8;

/// A mark: its middle, and the direction along it.
#[derive(Clone, Copy, Debug)]
pub struct Mark {
    middle: Coord<f64>,
    along: Coord<f64>,
}

impl Mark {
    /// A mark between two places, or nothing where they are one or not finite.
    pub fn between(tail: Coord<f64>, head: Coord<f64>) -> Option<Self> {
        let length = distance(tail, head);
        (length.is_finite() && length > 1e-6).then(|| Self {
            middle: (tail + head) / 2.0,
            along: (head - tail) / length,
        })
    }
}

/// Turns the crossings of a column, and gives which of the marks lie on it.
pub fn turn(column: &mut Column, marks: &[Mark]) -> Vec<bool> {
    let mut used = vec![false; marks.len()];
    for section in &mut column.sections {
        let rails = Rails::of(section, column.closed);
        let mut turns: Vec<(f64, f64)> = Vec::new();
        for (mark, used) in marks.iter().zip(&mut used) {
            if let Some(turn) = rails.turn_at(section, *mark) {
                turns.push(turn);
                *used = true;
            }
        }
        turns.sort_by(|a, b| a.0.total_cmp(&b.0));
        if !turns.is_empty() {
            rails.pair_anew(section, &turns);
        }
    }
    used
}

/// The two edges of a ladder, measured. As in [`crate::relax`], u is how
/// far both have come together, and the lead how far the left one is ahead.
struct Rails {
    left: Measured,
    right: Measured,
    closed: bool,
}

impl Rails {
    fn of(rungs: &[Rung], closed: bool) -> Self {
        Self {
            left: Measured::new(rungs.iter().map(|rung| rung.left).collect()),
            right: Measured::new(rungs.iter().map(|rung| rung.right).collect()),
            closed,
        }
    }

    /// How long both rails are together.
    fn total(&self) -> f64 {
        self.left.length() + self.right.length()
    }

    fn both(&self, rung: usize) -> f64 {
        self.left.lengths()[rung] + self.right.lengths()[rung]
    }

    fn lead(&self, rung: usize) -> f64 {
        self.left.lengths()[rung] - self.right.lengths()[rung]
    }

    /// Where a mark lies along the column, and by how much it changes the lead there.
    fn turn_at(&self, rungs: &[Rung], mark: Mark) -> Option<(f64, f64)> {
        let away = |rung: &Rung| to_edge(mark.middle, [rung.left, rung.right]);
        let (nearest, rung) = rungs
            .iter()
            .enumerate()
            .min_by(|a, b| away(a.1).total_cmp(&away(b.1)))?;
        if away(rung) > NEAR {
            return None;
        }
        let reach = 3.0 * rung.width();
        let left = self.meeting(&self.left, mark, nearest, reach)?;
        let right = self.meeting(&self.right, mark, nearest, reach)?;
        let (mut at, mut lead) = (
            self.both(nearest) + left + right,
            self.lead(nearest) + left - right,
        );
        // Beyond the seam, the lead has grown by how much longer the left rail is in all.
        let total = self.total();
        if self.closed && !(0.0..=total).contains(&at) {
            let turns = (at / total).floor();
            at -= turns * total;
            lead -= turns * (self.left.length() - self.right.length());
        }
        let next = (0..rungs.len())
            .find(|&i| self.both(i) >= at)
            .unwrap_or(rungs.len() - 1)
            .max(1);
        let (low, high) = (self.both(next - 1), self.both(next));
        let share = if high > low {
            ((at - low) / (high - low)).clamp(0.0, 1.0)
        } else {
            0.0
        };
        let square = self.lead(next - 1) * (1.0 - share) + self.lead(next) * share;
        Some((at, lead - square))
    }

    /// How far along a rail from a rung the line through a mark meets it, as near as it does.
    fn meeting(&self, rail: &Measured, mark: Mark, rung: usize, reach: f64) -> Option<f64> {
        let side = |p: Coord<f64>| cross(mark.along, p - mark.middle);
        let (lengths, total) = (rail.lengths(), rail.length());
        let mut best: Option<f64> = None;
        for (i, pair) in (1..).zip(rail.corners().windows(2)) {
            let (a, b) = (side(pair[0]), side(pair[1]));
            if (a <= 0.0) == (b <= 0.0) {
                continue;
            }
            let at = lengths[i - 1] + (lengths[i] - lengths[i - 1]) * a / (a - b);
            let mut ahead = at - lengths[rung];
            if self.closed && ahead.abs() > total / 2.0 {
                ahead -= total * ahead.signum();
            }
            if ahead.abs() <= reach && best.is_none_or(|best: f64| ahead.abs() < best.abs()) {
                best = Some(ahead);
            }
        }
        best
    }

    fn pair_anew(&self, rungs: &mut [Rung], turns: &[(f64, f64)]) {
        let last = rungs.len() - 1;
        let total = self.total();
        let wanted: Vec<[f64; 2]> = (0..=last)
            .map(|i| {
                let both = self.both(i);
                let turn = if self.closed {
                    between_round(turns, both, total)
                } else {
                    let most = DYING_AWAY * both.min(total - both).max(0.0);
                    between(turns, both).clamp(-most, most)
                };
                let lead = self.lead(i) + turn;
                [(both + lead) / 2.0, (both - lead) / 2.0]
            })
            .collect();
        let ends = [self.left.length(), self.right.length()];
        let rises = [0, 1].map(|side| {
            let wanted: Vec<f64> = wanted.iter().map(|pair| pair[side]).collect();
            never_back(&wanted, ends[side], self.closed)
        });
        for (i, rung) in rungs.iter_mut().enumerate() {
            let turned = Rung::new(self.left.place(rises[0][i]), self.right.place(rises[1][i]));
            (rung.left, rung.right) = (turned.left, turned.right);
            if rung.whole {
                rung.middle = turned.middle;
            }
        }
    }
}

/// Places along a rail `total` mm long that never go back: each is the farthest wanted so far. On a
/// closed rail the round before counts too, and beyond the seam lies the start.
fn never_back(wanted: &[f64], total: f64, closed: bool) -> Vec<f64> {
    let farthest = wanted.iter().copied().fold(0.0, f64::max);
    let mut at = if closed { farthest - total } else { 0.0 };
    let mut places: Vec<f64> = wanted
        .iter()
        .map(|&wanted| {
            at = at.max(wanted);
            if closed {
                at.rem_euclid(total.max(1e-9))
            } else {
                at.min(total)
            }
        })
        .collect();
    if closed && let [first, .., last] = &mut places[..] {
        *last = *first;
    }
    places
}

/// The turn at a place along a column `total` mm long that runs all the way round.
fn between_round(turns: &[(f64, f64)], at: f64, total: f64) -> f64 {
    let before = turns.last().map(|turn| (turn.0 - total, turn.1));
    let after = turns.first().map(|turn| (turn.0 + total, turn.1));
    let round: Vec<(f64, f64)> = before
        .into_iter()
        .chain(turns.iter().copied())
        .chain(after)
        .collect();
    between(&round, at)
}

/// The turn at a place along the column, between those that are known.
fn between(turns: &[(f64, f64)], at: f64) -> f64 {
    let next = turns.partition_point(|turn| turn.0 < at);
    match (
        next.checked_sub(1).and_then(|before| turns.get(before)),
        turns.get(next),
    ) {
        (Some(before), Some(after)) if after.0 > before.0 => {
            before.1 + (after.1 - before.1) * (at - before.0) / (after.0 - before.0)
        }
        (_, Some(only)) | (Some(only), None) => only.1,
        (None, None) => 0.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bar() -> Column {
        let rung = |i: i32| {
            let x = f64::from(i) * 0.15;
            Rung::new(Coord { x, y: 3.0 }, Coord { x, y: 0.0 })
        };
        Column::whole((0..=200).map(rung).collect(), false).expect("a column")
    }

    fn mark(x: f64, dx: f64) -> Mark {
        Mark::between(Coord { x: x - dx, y: 0.5 }, Coord { x: x + dx, y: 2.5 }).expect("a mark")
    }

    #[test]
    fn a_mark_turns_the_crossing_it_lies_on() {
        let mut column = bar();
        assert_eq!(turn(&mut column, &[mark(15.0, 0.5)]), [true]);
        let rungs = &column.sections[0];
        let at = rungs.iter().min_by(|a, b| {
            (a.middle.x - 15.0)
                .abs()
                .total_cmp(&(b.middle.x - 15.0).abs())
        });
        let rung = at.expect("a rung");
        // The mark slants by 1 in 2, so over 3 mm by 1.5.
        assert!((rung.left.x - rung.right.x - 1.5).abs() < 0.02, "{rung:?}");
        // The ends keep their shape, and nothing crosses.
        assert!((rungs[0].left.x - rungs[0].right.x).abs() < 1e-9);
        for pair in rungs.windows(2) {
            assert!(pair[1].left.x >= pair[0].left.x && pair[1].right.x >= pair[0].right.x);
        }
    }

    /// A ring of radii 4 and 10, its seam at the angle 0.
    fn ring() -> Column {
        let rung = |i: i32| {
            let t = f64::from(i % 200) / 200.0 * std::f64::consts::TAU;
            let at = |r: f64| Coord {
                x: r * t.cos(),
                y: r * t.sin(),
            };
            Rung::new(at(4.0), at(10.0))
        };
        Column::whole((0..=200).map(rung).collect(), true).expect("a column")
    }

    #[test]
    fn around_a_ring_the_turn_does_not_fade_at_the_seam() {
        // Marks across the ring at the seam and opposite to it, both a little off the radius.
        let marks = [1.0, -1.0].map(|side| {
            let place = |r: f64, up: f64| Coord {
                x: side * r,
                y: side * up,
            };
            Mark::between(place(5.0, -0.5), place(9.0, 0.5)).expect("a mark")
        });
        let mut column = ring();
        assert_eq!(turn(&mut column, &marks), [true, true]);
        let rungs = &column.sections[0];
        assert_eq!(rungs[0], rungs[200]);
        // The line through a mark passes the middle of the ring at d = 7 sin(atan(1/4)); its ends
        // on both circles are apart by asin(d/4) - asin(d/10). By symmetry that holds everywhere.
        let d: f64 = 7.0 * 0.25_f64.atan().sin();
        let exact = (d / 4.0).asin() - (d / 10.0).asin();
        for (i, rung) in rungs.iter().enumerate() {
            let lean = (rung.left.x * rung.right.y - rung.left.y * rung.right.x) / 40.0;
            assert!((lean.asin() - exact).abs() < 0.01, "{i}: {lean}");
        }
    }

    #[test]
    fn between_marks_the_turn_changes_evenly() {
        let mut column = bar();
        turn(&mut column, &[mark(8.0, 0.4), mark(22.0, -0.4)]);
        let rungs = &column.sections[0];
        let middle = rungs.iter().min_by(|a, b| {
            (a.middle.x - 15.0)
                .abs()
                .total_cmp(&(b.middle.x - 15.0).abs())
        });
        let rung = middle.expect("a rung");
        assert!((rung.left.x - rung.right.x).abs() < 0.05);
    }

    #[test]
    fn a_mark_elsewhere_changes_nothing() {
        let mut column = bar();
        let far =
            Mark::between(Coord { x: 5.0, y: 20.0 }, Coord { x: 6.0, y: 20.0 }).expect("a mark");
        assert_eq!(turn(&mut column, &[far]), [false]);
        assert_eq!(column, bar());
        assert!(Mark::between(Coord { x: 1.0, y: 1.0 }, Coord { x: 1.0, y: 1.0 }).is_none());
    }
}
