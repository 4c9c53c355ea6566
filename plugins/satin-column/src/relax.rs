//! Fans spread out: where one edge of a column stands still while the other goes on, as at the
//! inside of a bend or opposite the mouth of a fork, the turn of the rungs is shared out over the
//! neighbourhood, as a digitizer would begin to turn before the corner.

use crate::column::Rung;
use crate::rails::RUNG_STEP;
use hoopwright_sdk::geometry::measured::Measured;

/// The neighbourhood reaches this far to both sides, as a share of the width, along both edges
/// together.
const REACH: f64 = 1.6;

/// Pairs the two rails of a ladder anew. Both ends of an open ladder stay.
///
/// Let u be how far both rails have come together, and d how far the left one is ahead. Neither
/// rail ever goes back, so d never changes faster than u. The mean of d over a window has the same
/// property, so no two of the new rungs cross, however wide the window is. On straight parts and
/// on arcs d is linear in u, and the rungs stay as they are.
pub fn relax(rungs: &[Rung], closed: bool, width: f64) -> Vec<Rung> {
    if rungs.is_empty() {
        return Vec::new();
    }
    let left = Measured::new(rungs.iter().map(|rung| rung.left).collect());
    let right = Measured::new(rungs.iter().map(|rung| rung.right).collect());
    let (left_total, right_total) = (left.length(), right.length());
    let total = left_total + right_total;
    let steps = (total / (2.0 * RUNG_STEP)).ceil().clamp(2.0, 2e5);
    let count = steps as usize;
    let step = total / steps;
    let lead = evenly(left.lengths(), right.lengths(), count, step);
    let drift = left_total - right_total;
    // sums[i] is the sum of the leads before i.
    let mut sums = vec![0.0];
    for value in &lead {
        sums.push(sums[sums.len() - 1] + value);
    }
    // The sum of the leads before any place, going round and round.
    let sum_before = |at: isize| {
        let turns = at.div_euclid(count as isize) as f64;
        let rest = at.rem_euclid(count as isize) as usize;
        // Whole turns: each adds its sum and, for every place, the drift of the turns before it.
        let whole = turns * sums[count] + drift * count as f64 * turns * (turns - 1.0) / 2.0;
        whole + sums[rest] + drift * turns * rest as f64
    };
    let window = ((REACH * width / step).max(0.0) as usize).min(count);
    (0..=count)
        .map(|i| {
            let reach = if closed {
                window.min(count / 2)
            } else {
                window.min(i).min(count - i)
            };
            let mean = if reach == 0 {
                lead[i]
            } else if closed {
                let (low, high) = (i as isize - reach as isize, (i + reach + 1) as isize);
                (sum_before(high) - sum_before(low)) / (2 * reach + 1) as f64
            } else {
                (sums[i + reach + 1] - sums[i - reach]) / (2 * reach + 1) as f64
            };
            let both = step * i as f64;
            Rung::new(
                left.place(around((both + mean) / 2.0, left_total, closed)),
                right.place(around((both - mean) / 2.0, right_total, closed)),
            )
        })
        .collect()
}

/// A length along a rail; on a closed one, beyond its ends lies its other end.
fn around(at: f64, total: f64, closed: bool) -> f64 {
    if closed && !(0.0..=total).contains(&at) {
        at.rem_euclid(total.max(1e-9))
    } else {
        at
    }
}

/// How far the left rail is ahead, at even steps of what both have come.
fn evenly(left: &[f64], right: &[f64], count: usize, step: f64) -> Vec<f64> {
    let mut rung = 0;
    (0..=count)
        .map(|i| {
            let both = step * i as f64;
            while rung + 2 < left.len() && left[rung + 1] + right[rung + 1] < both {
                rung += 1;
            }
            let next = (rung + 1).min(left.len() - 1);
            let (here, there) = (left[rung] + right[rung], left[next] + right[next]);
            let share = if there > here {
                ((both - here) / (there - here)).clamp(0.0, 1.0)
            } else {
                0.0
            };
            let lead = |at: usize| left[at] - right[at];
            lead(rung) + (lead(next) - lead(rung)) * share
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_sdk::prelude::*;

    fn c(x: f64, y: f64) -> Coord<f64> {
        Coord { x, y }
    }

    fn ladder_of_ring() -> Vec<Rung> {
        (0..=400)
            .map(|i| f64::from(i) / 400.0 * std::f64::consts::TAU)
            .map(|t| {
                Rung::new(
                    c(4.0 * t.cos(), 4.0 * t.sin()),
                    c(10.0 * t.cos(), 10.0 * t.sin()),
                )
            })
            .collect()
    }

    #[test]
    fn straight_parts_and_arcs_stay_as_they_are() {
        for closed in [true, false] {
            for rung in relax(&ladder_of_ring(), closed, 6.0) {
                let turn = rung.left.x * rung.right.y - rung.left.y * rung.right.x;
                assert!(turn.abs() / 40.0 < 0.01, "{closed} {turn}");
            }
        }
    }

    #[test]
    fn a_fan_is_spread_and_no_rungs_cross() {
        // Ten mm straight, a fan of a right angle about the right end, ten mm straight.
        let mut rungs: Vec<Rung> = (0..=50)
            .map(|i| f64::from(i) * 0.2)
            .map(|x| Rung::new(c(x, 3.0), c(x, 0.0)))
            .collect();
        rungs.extend(
            (1..=30)
                .map(|i| f64::from(i) * 3.0_f64.to_radians())
                .map(|t| Rung::new(c(10.0 + 3.0 * t.sin(), 3.0 * t.cos()), c(10.0, 0.0))),
        );
        rungs.extend(
            (1..=50)
                .map(|i| f64::from(i) * -0.2)
                .map(|y| Rung::new(c(13.0, y), c(10.0, y))),
        );
        let relaxed = relax(&rungs, false, 3.0);
        let at_corner = relaxed
            .iter()
            .filter(|rung| rung.right.x > 9.95 && rung.right.y > -0.05)
            .count();
        let before = rungs
            .iter()
            .filter(|rung| rung.right.x > 9.95 && rung.right.y > -0.05)
            .count();
        assert!(at_corner * 3 < before, "{at_corner} of {before}");
        for pair in relaxed.windows(2) {
            let forward = |a: Coord<f64>, b: Coord<f64>| (b.x - a.x) - (b.y - a.y) >= -1e-9;
            assert!(forward(pair[0].right, pair[1].right));
        }
    }
}
