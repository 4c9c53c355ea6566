//! Needle points that lie too close, set anew.
//!
//! Places spread along a line may still lie close on the cloth: where the line comes back on
//! itself, or where sharp corners follow each other. Around such a place the best sequence of
//! points is looked for by dynamic programming over places along the line.

use super::Spacing;
use crate::measured::Measured;

/// How many marks on each side of a crowded step are set anew at first.
const FEWEST_AROUND: usize = 2;

/// And at last, where the first tries leave a short step.
const MOST_AROUND: usize = 64;

/// How far along the line a step may reach, in longest steps: what is passed over is a hairpin,
/// not half of the design.
const REACH: f64 = 6.0;

/// What a short step costs, so that anything else is preferred to it.
const SHORT: f64 = 1e6;

/// Sets the marks anew around every step that is shorter than the shortest.
pub(super) fn relieve(line: &Measured, spacing: Spacing, marks: &mut Vec<f64>) {
    let mut from = 0;
    while let Some(bad) = (from..marks.len() - 1).find(|&i| is_short(line, marks, i, spacing)) {
        let mut around = FEWEST_AROUND;
        loop {
            let first = bad.saturating_sub(around);
            let last = (bad + 1 + around).min(marks.len() - 1);
            let (anew, fits) = best_marks(line, spacing, &marks[first..=last]);
            let whole = first == 0 && last == marks.len() - 1;
            if fits || whole || around >= MOST_AROUND {
                from = first + anew.len() - 1;
                marks.splice(first..=last, anew);
                break;
            }
            around *= 2;
        }
    }
}

fn is_short(line: &Measured, marks: &[f64], i: usize, spacing: Spacing) -> bool {
    line.chord(marks[i], marks[i + 1]) < spacing.shortest * (1.0 - 1e-9)
}

/// The best marks from the first of `old` to its last, and whether no step is too short.
fn best_marks(line: &Measured, spacing: Spacing, old: &[f64]) -> (Vec<f64>, bool) {
    let corners = sharp_corners(line, spacing, old[0], old[old.len() - 1]);
    let places = candidates(spacing, old, &corners);
    let corners_before: Vec<usize> = places
        .iter()
        .map(|&at| corners.partition_point(|&corner| corner < at))
        .collect();
    let corners_up_to: Vec<usize> = places
        .iter()
        .map(|&at| corners.partition_point(|&corner| corner <= at))
        .collect();
    let points: Vec<_> = places.iter().map(|&at| line.place(at)).collect();
    let mut cost = vec![f64::INFINITY; places.len()];
    let mut before = vec![0; places.len()];
    cost[0] = 0.0;
    for to in 1..places.len() {
        for from in (0..to).rev() {
            let reach = places[to] - places[from];
            if reach > REACH * spacing.longest && from + 1 < to {
                break;
            }
            let chord = crate::measure::distance(points[from], points[to]);
            if chord > spacing.longest * (1.0 + 1e-9) && from + 1 < to {
                continue;
            }
            let mut total = cost[from] + ((spacing.longest - chord) / spacing.longest).powi(2);
            if chord < spacing.shortest * (1.0 - 1e-9) {
                let missing = 1.0 - chord / spacing.shortest;
                total += SHORT * (0.05 + missing * missing);
            }
            if total >= cost[to] {
                continue;
            }
            let corners = corners_before[to].saturating_sub(corners_up_to[from]);
            total += 2.0 * corners.min(100) as f64;
            // The dear part last, and only where the cheap ones leave a chance.
            if total < cost[to] {
                total += strays(line, spacing, places[from], places[to]);
            }
            if total < cost[to] {
                cost[to] = total;
                before[to] = from;
            }
        }
    }
    let mut marks = Vec::new();
    let mut at = places.len() - 1;
    while at > 0 {
        marks.push(places[at]);
        at = before[at];
    }
    marks.push(places[0]);
    marks.reverse();
    (marks, cost[places.len() - 1] < SHORT * 0.05)
}

/// What it costs that the line strays from the chord.
fn strays(line: &Measured, spacing: Spacing, from: f64, to: f64) -> f64 {
    let beyond = (line.sag(from, to) - spacing.tolerance).max(0.0) / spacing.tolerance;
    10.0 * beyond.min(100.0)
}

/// How far along the line the corners lie that turn sharply, between two places.
fn sharp_corners(line: &Measured, spacing: Spacing, from: f64, to: f64) -> Vec<f64> {
    let sharp = spacing.corner.to_radians().cos();
    line.between(from, to)
        .filter(|&i| line.turns(i, sharp))
        .map(|i| line.lengths()[i])
        .collect()
}

/// Places along the line that may get a needle point: the old marks, sharp corners, and places in
/// between at a third of the shortest step.
fn candidates(spacing: Spacing, old: &[f64], corners: &[f64]) -> Vec<f64> {
    let (from, to) = (old[0], old[old.len() - 1]);
    let steps = (3.0 * (to - from) / spacing.shortest)
        .ceil()
        .clamp(2.0, 3000.0) as usize;
    let even = (1..steps).map(|i| from + (to - from) * i as f64 / steps as f64);
    let mut places: Vec<f64> = old.iter().copied().chain(even).collect();
    // Where sharp corners crowd, as in a trembling line, not each of them can be looked at.
    let mut since = f64::NEG_INFINITY;
    for &corner in corners {
        if corner - since >= spacing.shortest / 4.0 {
            places.push(corner);
            since = corner;
        }
    }
    places.sort_by(f64::total_cmp);
    places.dedup();
    places
}
