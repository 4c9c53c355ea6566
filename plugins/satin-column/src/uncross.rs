//! Bends tighter than half the width: rungs that would cross meet in one place instead.

use crate::column::Rung;
use hoopwright_sdk::geometry::measure::{self, cross, distance};
use hoopwright_sdk::prelude::*;

/// Draws the inner ends of rungs together wherever a bend is so tight that they cross. Gives
/// whether there was such a bend.
pub fn uncross(rungs: &mut [Rung]) -> bool {
    let mut any = false;
    let mut i = 0;
    while i + 1 < rungs.len() {
        if crossing(&rungs[i], &rungs[i + 1]).is_some() {
            i = gather(rungs, i);
            any = true;
        }
        i += 1;
    }
    any
}

/// Widens a pair of crossing rungs to the first pair around them that does not cross, gathers
/// the inner ends between, and gives the last rung gathered.
fn gather(rungs: &mut [Rung], first: usize) -> usize {
    let (mut low, mut high) = (first, first + 1);
    let mut meeting = crossing(&rungs[low], &rungs[high]);
    let mut left_inside = true;
    let mut place = rungs[first].middle;
    while let Some((at, left)) = meeting {
        (place, left_inside) = (at, left);
        // A pair too far apart to belong to one bend crosses by chance: the line crosses itself.
        let reach = 1.5 * rungs[first].width();
        let can_fall = low > 0 && distance(rungs[low - 1].middle, rungs[first].middle) < reach;
        let can_rise =
            high + 1 < rungs.len() && distance(rungs[high + 1].middle, rungs[first].middle) < reach;
        if !can_fall && !can_rise {
            break;
        }
        low -= usize::from(can_fall);
        high += usize::from(can_rise);
        meeting = crossing(&rungs[low], &rungs[high]);
    }
    for rung in &mut rungs[low..=high] {
        if left_inside {
            rung.left = place;
        } else {
            rung.right = place;
        }
    }
    high
}

/// Where two rungs cross, and whether that is on the left half of the first.
fn crossing(a: &Rung, b: &Rung) -> Option<(Coord<f64>, bool)> {
    let (u, v) = (a.right - a.left, b.right - b.left);
    if cross(u, v).abs() < 1e-12 {
        return None;
    }
    let [share, other] = measure::crossing((a.left, u), (b.left, v))?;
    let inside = |share: f64| share > 1e-6 && share < 1.0 - 1e-6;
    (inside(share) && inside(other)).then(|| (a.left + u * share, share < 0.5))
}
