//! Columns from lines with a width.

use crate::column::{Column, Rung};
use crate::corner::{Corner, mitre};
use crate::rails::RUNG_STEP;
use crate::relax::relax;
use crate::uncross::uncross;
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;

/// Corners closer together than this are one, in mm.
const MERGE: f64 = 0.01;

/// A column along `path`, `width` mm wide, or nothing where the path has no length or a place
/// that is not finite.
///
/// Bends are sewn round; corners of [`Corner::SHARP`] or more are mitred, each side of the corner
/// a section of its own.
pub fn column_of_line(path: &Polyline, width: f64) -> Option<Column> {
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
        let sections = sections_of(&corners, None, width / 2.0);
        return Some(Column::of(sections, closed));
    }
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
        let sections = sections_of(&corners, Some(joint), width / 2.0);
        return Some(Column::of(sections, false));
    }
    corners.push(corners[0]);
    let mut rungs = ladder(&corners, true, width / 2.0);
    let tight = uncross(&mut rungs);
    rungs.extend(rungs.first().copied());
    if tight {
        rungs = relax(&rungs, true, width);
    }
    Column::whole(rungs, true)
}

/// Cuts an open line at its sharp corners and makes a ladder of each piece. `joint` is the corner
/// in which the line's end meets its start.
fn sections_of(corners: &[Coord<f64>], joint: Option<Corner>, half: f64) -> Vec<Vec<Rung>> {
    let last = corners.len() - 1;
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
        let mut rungs = ladder(&corners[start..=i], false, half);
        if uncross(&mut rungs) {
            rungs = relax(&rungs, false, 2.0 * half);
        }
        if let Some(corner) = corner {
            mitre(&mut rungs, corner, half);
        }
        if let Some(corner) = start_corner {
            turn_round(&mut rungs);
            mitre(&mut rungs, corner.reversed(), half);
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

/// Rungs square to a line without sharp corners. Near each corner they turn from one stretch to
/// the next, and lengthen so that both their ends stay on the parallels of the line.
fn ladder(corners: &[Coord<f64>], closed: bool, half: f64) -> Vec<Rung> {
    let stretches: Vec<Stretch> = corners
        .windows(2)
        .map(|pair| Stretch::new(pair[0], pair[1]))
        .collect();
    let count = stretches.len();
    let mut rungs = Vec::new();
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
                half.min(other.length / 2.0).min(stretch.length / 2.0)
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
            let reach = normal * (half / lean.max(0.5));
            let middle = stretch.from + stretch.direction * at;
            rungs.push(Rung {
                left: middle + reach,
                right: middle - reach,
                middle,
                whole: true,
            });
        }
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
