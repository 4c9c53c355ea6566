//! Direction marks: crossings turned out of the square.
//!
//! A mark turns the crossing through its middle to its own direction. From one mark to the next
//! along a column the turn changes evenly; beyond the first and the last it stays, and dies away
//! only just before the column's ends, which keep their shape.

use crate::column::{Column, Rung};
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::geometry::resample::{cumulative, place};
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
        let rails = Rails::of(section);
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

/// The two edges of a ladder, with the length up to each rung. As in [`crate::relax`], u is how
/// far both have come together, and the lead how far the left one is ahead.
struct Rails {
    left: Vec<Coord<f64>>,
    right: Vec<Coord<f64>>,
    left_lengths: Vec<f64>,
    right_lengths: Vec<f64>,
}

impl Rails {
    fn of(rungs: &[Rung]) -> Self {
        let left: Vec<Coord<f64>> = rungs.iter().map(|rung| rung.left).collect();
        let right: Vec<Coord<f64>> = rungs.iter().map(|rung| rung.right).collect();
        Self {
            left_lengths: cumulative(&left),
            right_lengths: cumulative(&right),
            left,
            right,
        }
    }

    fn both(&self, rung: usize) -> f64 {
        self.left_lengths[rung] + self.right_lengths[rung]
    }

    fn lead(&self, rung: usize) -> f64 {
        self.left_lengths[rung] - self.right_lengths[rung]
    }

    /// Where a mark lies along the column, and by how much it changes the lead there.
    fn turn_at(&self, rungs: &[Rung], mark: Mark) -> Option<(f64, f64)> {
        let away = |rung: &Rung| from_rung(mark.middle, rung);
        let (nearest, rung) = rungs
            .iter()
            .enumerate()
            .min_by(|a, b| away(a.1).total_cmp(&away(b.1)))?;
        if away(rung) > NEAR {
            return None;
        }
        let reach = 3.0 * rung.width();
        let left = meeting(&self.left, &self.left_lengths, mark, nearest, reach)?;
        let right = meeting(&self.right, &self.right_lengths, mark, nearest, reach)?;
        let at = left + right;
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
        let lead = self.lead(next - 1) * (1.0 - share) + self.lead(next) * share;
        Some((at, left - right - lead))
    }

    fn pair_anew(&self, rungs: &mut [Rung], turns: &[(f64, f64)]) {
        let last = rungs.len() - 1;
        let (left_total, right_total) = (self.left_lengths[last], self.right_lengths[last]);
        let (mut left_at, mut right_at) = (0.0_f64, 0.0_f64);
        for (i, rung) in rungs.iter_mut().enumerate() {
            let both = self.both(i);
            let most = DYING_AWAY * both.min(left_total + right_total - both).max(0.0);
            let lead = self.lead(i) + between(turns, both).clamp(-most, most);
            // Neither side ever goes back.
            left_at = left_at.max((both + lead) / 2.0).min(left_total);
            right_at = right_at.max((both - lead) / 2.0).min(right_total);
            let turned = Rung::new(
                place(&self.left, &self.left_lengths, left_at),
                place(&self.right, &self.right_lengths, right_at),
            );
            (rung.left, rung.right) = (turned.left, turned.right);
            if rung.whole {
                rung.middle = turned.middle;
            }
        }
    }
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

fn from_rung(p: Coord<f64>, rung: &Rung) -> f64 {
    let d = rung.right - rung.left;
    let square = d.x * d.x + d.y * d.y;
    let q = p - rung.left;
    let share = if square > 0.0 {
        ((q.x * d.x + q.y * d.y) / square).clamp(0.0, 1.0)
    } else {
        0.0
    };
    distance(p, rung.left + d * share)
}

/// How far along a rail the line through a mark meets it, nearest to a rung.
fn meeting(
    rail: &[Coord<f64>],
    lengths: &[f64],
    mark: Mark,
    near: usize,
    reach: f64,
) -> Option<f64> {
    let side =
        |p: Coord<f64>| mark.along.x * (p.y - mark.middle.y) - mark.along.y * (p.x - mark.middle.x);
    let mut best: Option<f64> = None;
    for i in 1..rail.len() {
        let (a, b) = (side(rail[i - 1]), side(rail[i]));
        if (a <= 0.0) == (b <= 0.0) {
            continue;
        }
        let at = lengths[i - 1] + (lengths[i] - lengths[i - 1]) * a / (a - b);
        let away = (at - lengths[near]).abs();
        if away <= reach && best.is_none_or(|best| away < (best - lengths[near]).abs()) {
            best = Some(at);
        }
    }
    best
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
