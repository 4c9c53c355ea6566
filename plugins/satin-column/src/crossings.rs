//! Where satin stitches cross a column.

use crate::column::Rung;
use crate::manner::{Manner, manners};
use crate::pull::Pull;
use hoopwright_sdk::geometry::measure::{cross, distance};
use hoopwright_sdk::prelude::*;

/// How far a closed column goes on over its own start, in mm.
pub const CLOSING_OVERLAP: f64 = 1.0;
/// Stitches of this length are safe, in mm (Printwear, December 2016).
pub const SAFE_STITCH: f64 = 1.05;
/// Below this width a rung's own direction is taken from its neighbours, in mm.
const NO_DIRECTION: f64 = 0.15;

/// A pair of facing needle places.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Crossing {
    /// On one edge.
    pub left: Coord<f64>,
    /// On the other.
    pub right: Coord<f64>,
}

impl Crossing {
    /// Its length in mm.
    pub fn length(&self) -> f64 {
        distance(self.left, self.right)
    }
}

/// Crossings over a ladder of rungs, evenly spread so that on the outer edge of bends they lie at
/// most `density / 2` apart, measured square to the stitch, and reaching past
/// both edges by `pull`. The first and the last rung are crossings.
///
/// What is too narrow for that is sewn in a [`Manner`] of its own.
pub fn crossings(rungs: &[Rung], density: f64, pull: Pull) -> Vec<Crossing> {
    if rungs.len() < 2 {
        return Vec::new();
    }
    let directions = directions(rungs);
    let manners = manners(rungs, pull);
    let mut advance = vec![0.0; rungs.len()];
    for i in 1..rungs.len() {
        let (a, b) = (rungs[i - 1], rungs[i]);
        let along = directions[i - 1] + directions[i];
        let length = along.x.hypot(along.y).max(1e-9);
        let square = |step: Coord<f64>| cross(along, step).abs() / length;
        let step = square(b.left - a.left).max(square(b.right - a.right));
        let width = (a.width() + b.width()) / 2.0;
        let wanted = Manner::between(manners[i - 1], manners[i]).least_advance(width, pull);
        let pitch = density / 2.0;
        advance[i] = advance[i - 1] + step * pitch / pitch.max(wanted);
    }
    let Some(&total) = advance.last() else {
        return Vec::new();
    };
    let count = (total / (density / 2.0) - 1e-6).ceil().clamp(1.0, 1e6);
    (0..=count as usize)
        .map(|k| {
            let at = total * k as f64 / count;
            let next = advance
                .partition_point(|&a| a < at)
                .clamp(1, rungs.len().max(2) - 1);
            let step = advance[next] - advance[next - 1];
            let share = if step > 0.0 {
                ((at - advance[next - 1]) / step).clamp(0.0, 1.0)
            } else {
                0.0
            };
            let (a, b) = (&rungs[next - 1], &rungs[next]);
            let rung = Crossing {
                left: a.left + (b.left - a.left) * share,
                right: a.right + (b.right - a.right) * share,
            };
            let direction = directions[next - 1] * (1.0 - share) + directions[next] * share;
            let manner = Manner::between(manners[next - 1], manners[next]);
            compensate(rung, direction, pull, manner)
        })
        .collect()
}

/// The rungs of a closed column and the first of them again, for [`CLOSING_OVERLAP`].
pub fn closed_with_overlap(rungs: &[Rung]) -> Vec<Rung> {
    let mut all = rungs.to_vec();
    let mut way = 0.0;
    for pair in rungs.windows(2) {
        way += distance(pair[0].middle, pair[1].middle);
        if way > CLOSING_OVERLAP {
            break;
        }
        all.push(pair[1]);
    }
    all
}

/// The direction of each rung from left to right, of length 1. Rungs too short to have one take
/// it from the one before that has, the first ones from the one after.
fn directions(rungs: &[Rung]) -> Vec<Coord<f64>> {
    let own: Vec<Option<Coord<f64>>> = rungs
        .iter()
        .map(|rung| (rung.width() > NO_DIRECTION).then(|| (rung.right - rung.left) / rung.width()))
        .collect();
    let Some(first) = own.iter().flatten().next().copied() else {
        // All of it is thin: square to the way it goes.
        return thin_directions(rungs);
    };
    let mut last = first;
    own.into_iter()
        .map(|own| {
            last = own.unwrap_or(last);
            last
        })
        .collect()
}

fn thin_directions(rungs: &[Rung]) -> Vec<Coord<f64>> {
    (0..rungs.len())
        .map(|i| {
            let (a, b) = (
                rungs[i.saturating_sub(1)],
                rungs[(i + 1).min(rungs.len() - 1)],
            );
            let way = b.middle - a.middle;
            let length = way.x.hypot(way.y);
            if length > 0.0 {
                Coord {
                    x: way.y,
                    y: -way.x,
                } / length
            } else {
                Coord { x: 1.0, y: 0.0 }
            }
        })
        .collect()
}

fn compensate(crossing: Crossing, direction: Coord<f64>, pull: Pull, manner: Manner) -> Crossing {
    let width = crossing.length();
    let unit = if width > NO_DIRECTION {
        (crossing.right - crossing.left) / width
    } else {
        direction / direction.x.hypot(direction.y).max(1e-9)
    };
    let (left, right) = (pull.left(width), pull.right(width));
    let length = manner.length(width, pull);
    if length <= width + left + right && manner != Manner::Run {
        return Crossing {
            left: crossing.left - unit * left,
            right: crossing.right + unit * right,
        };
    }
    // Farther to each side, about the middle.
    let middle = (crossing.left + crossing.right) / 2.0 + unit * ((right - left) / 2.0);
    Crossing {
        left: middle - unit * (length / 2.0),
        right: middle + unit * (length / 2.0),
    }
}
