//! Columns from lines with a width.

use crate::column::{Column, Rung};
use crate::corner::{Corner, finish};
use crate::rails::RUNG_STEP;
use crate::relax::relax;
use crate::taper::Taper;
use crate::uncross::uncross;
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::geometry::resample::cumulative;
use hoopwright_sdk::prelude::*;

/// Corners closer together than this are one, in mm.
const MERGE: f64 = 0.01;

/// A column along `path` as wide as `taper` says, or nothing where the path has no length or a
/// place that is not finite. A closed path has the width of the taper's start all round.
///
/// Bends are sewn round; corners of [`Corner::SHARP`] or more are mitred or capped, each side of the
/// corner a section of its own.
pub fn column_of_line(path: &Polyline, taper: Taper) -> Option<Column> {
    let mut corners: Vec<Coord<f64>> = Vec::new();
    for corner in path.corners() {
        if !corner.x.is_finite() || !corner.y.is_finite() {
            return None;
        }
        if corners
            .last()
            .is_none_or(|&last| distance(last, corner) > MERGE)
        {
            corners.push(corner);
        }
    }
    let mut closed = path.closed;
    while closed && corners.len() > 1 && distance(corners[0], corners[corners.len() - 1]) <= MERGE {
        corners.pop();
    }
    closed &= corners.len() >= 3;
    if corners.len() < 2 {
        return None;
    }
    if !closed {
        let sections = sections_of(&corners, None, taper);
        return Some(Column::of(sections, closed));
    }
    let taper = Taper::constant(taper.start);
    let count = corners.len();
    let sharp = (0..count).find(|&i| {
        Corner::at(
            corners[(i + count - 1) % count],
            corners[i],
            corners[(i + 1) % count],
        )
        .is_sharp()
    });
    if let Some(sharp) = sharp {
        // Begin in a corner, and the rest is an open line that ends in it.
        corners.rotate_left(sharp);
        corners.push(corners[0]);
        let joint = Corner::at(corners[count - 1], corners[0], corners[1]);
        let sections = sections_of(&corners, Some(joint), taper);
        return Some(Column::of(sections, false));
    }
    corners.push(corners[0]);
    let mut rungs = ladder(&corners, true, &|_| taper.start / 2.0);
    let tight = uncross(&mut rungs);
    rungs.extend(rungs.first().copied());
    if tight {
        rungs = relax(&rungs, true, taper.start);
    }
    Column::whole(rungs, true)
}

/// Cuts an open line at its sharp corners and makes a ladder of each piece. `joint` is the corner
/// in which the line's end meets its start.
fn sections_of(corners: &[Coord<f64>], joint: Option<Corner>, taper: Taper) -> Vec<Vec<Rung>> {
    let last = corners.len() - 1;
    let lengths = cumulative(corners);
    let half_at = |at: f64| taper.half(at / lengths[last]);
    let mut sections = Vec::new();
    let (mut start, mut start_corner) = (0, joint);
    for i in 1..=last {
        let corner = if i == last {
            joint
        } else {
            Some(Corner::at(corners[i - 1], corners[i], corners[i + 1])).filter(Corner::is_sharp)
        };
        if corner.is_none() && i < last {
            continue;
        }
        let mut rungs = ladder(&corners[start..=i], false, &|at| {
            half_at(lengths[start] + at)
        });
        if uncross(&mut rungs) {
            let middle = (lengths[start] + lengths[i]) / 2.0;
            rungs = relax(&rungs, false, 2.0 * half_at(middle));
        }
        if let Some(corner) = corner {
            finish(&mut rungs, corner, half_at(lengths[i]), true);
        }
        if let Some(corner) = start_corner {
            turn_round(&mut rungs);
            finish(
                &mut rungs,
                corner.reversed(),
                half_at(lengths[start]),
                false,
            );
            turn_round(&mut rungs);
        }
        if rungs.len() >= 2 {
            sections.push(rungs);
        }
        (start, start_corner) = (i, corner);
    }
    sections
}

fn turn_round(rungs: &mut [Rung]) {
    rungs.reverse();
    for rung in rungs {
        *rung = rung.turned();
    }
}

/// Rungs square to a line without sharp corners, half as wide as `half_at` says of their way along
/// it. Near each corner they turn from one stretch to the next, and lengthen so that both their
/// ends stay on the parallels of the line.
fn ladder(corners: &[Coord<f64>], closed: bool, half_at: &dyn Fn(f64) -> f64) -> Vec<Rung> {
    let stretches: Vec<Stretch> = corners
        .windows(2)
        .map(|pair| Stretch::new(pair[0], pair[1]))
        .collect();
    let count = stretches.len();
    let mut rungs = Vec::new();
    let mut way = 0.0;
    for (i, stretch) in stretches.iter().enumerate() {
        let before = if i > 0 {
            Some(&stretches[i - 1])
        } else {
            closed.then(|| &stretches[count - 1])
        };
        let after = if i + 1 < count {
            Some(&stretches[i + 1])
        } else {
            closed.then(|| &stretches[0])
        };
        let bend = |other: Option<&Stretch>| {
            other.map_or(0.0, |other| {
                half_at(way)
                    .min(other.length / 2.0)
                    .min(stretch.length / 2.0)
            })
        };
        let (bend_before, bend_after) = (bend(before), bend(after));
        let steps = (stretch.length / RUNG_STEP).ceil().clamp(2.0, 1e5);
        let final_step = usize::from(i + 1 == count && !closed);
        for step in 0..steps as usize + final_step {
            let at = stretch.length * step as f64 / steps;
            let ahead = stretch.length - at;
            let normal = match (before, after) {
                (Some(before), _) if at < bend_before => {
                    blend(before.normal, stretch.normal, 0.5 + 0.5 * at / bend_before)
                }
                (_, Some(after)) if ahead < bend_after => {
                    blend(stretch.normal, after.normal, 0.5 - 0.5 * ahead / bend_after)
                }
                _ => stretch.normal,
            };
            let lean = normal.x * stretch.normal.x + normal.y * stretch.normal.y;
            let reach = normal * (half_at(way + at) / lean.max(0.5));
            let middle = stretch.from + stretch.direction * at;
            rungs.push(Rung {
                left: middle + reach,
                right: middle - reach,
                middle,
                whole: true,
            });
        }
        way += stretch.length;
    }
    rungs
}

struct Stretch {
    from: Coord<f64>,
    direction: Coord<f64>,
    normal: Coord<f64>,
    length: f64,
}

impl Stretch {
    fn new(from: Coord<f64>, to: Coord<f64>) -> Self {
        let length = distance(from, to);
        let direction = (to - from) / length;
        Self {
            from,
            direction,
            normal: Coord {
                x: -direction.y,
                y: direction.x,
            },
            length,
        }
    }
}

fn blend(a: Coord<f64>, b: Coord<f64>, share: f64) -> Coord<f64> {
    let sum = a * (1.0 - share) + b * share;
    sum / sum.x.hypot(sum.y).max(1e-9)
}
