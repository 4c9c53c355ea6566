//! How a line is followed by straight stitches.

use hoopwright_sdk::geometry::measure::{distance, dot};
use hoopwright_sdk::geometry::measured::Measured;
use hoopwright_sdk::geometry::resample::longest_step;
use std::collections::BTreeMap;

/// The line is followed to within this, in mm.
const TOLERANCE: f64 = 0.08;

/// Stitches shorter than `shortest` are made only where the line would else be left by more, in mm.
pub const COARSE_TOLERANCE: f64 = 0.25;

/// Even there stitches are longer than this, in mm.
pub const LEAST: f64 = 0.6;

/// Corners that turn by more than this many degrees get a needle point,
const CORNER: f64 = 35.0;

/// ... as seen over this length to each side, in mm: small arcs are corners as well.
const ABOUT: f64 = 0.3;

/// The longest step from a place that follows the line, and the shortest worth a stitch.
pub fn steps(line: &Measured, from: f64, longest: f64, shortest: f64) -> (f64, f64) {
    let fits = |step: f64, tolerance: f64| line.sag(from, from + step) <= tolerance;
    if let Some(step) = longest_step(longest, shortest, |step| fits(step, TOLERANCE)) {
        return (step, shortest);
    }
    // Measured along the line, which is a little longer than the stitch.
    let wanted = shortest * 1.1;
    if fits(wanted, COARSE_TOLERANCE) {
        return (wanted, wanted);
    }
    let step = longest_step(shortest, LEAST, |step| fits(step, COARSE_TOLERANCE));
    (step.unwrap_or(LEAST), LEAST)
}

/// Corners that get a needle point, both ends among them: the sharpest first, none that crowds
/// another.
pub fn fixed(line: &Measured, shortest: f64) -> Vec<f64> {
    let (corners, lengths) = (line.corners(), line.lengths());
    let total = line.length();
    let mut sharp = Vec::new();
    for i in 1..corners.len() - 1 {
        let (here, at) = (corners[i], lengths[i]);
        let (from, to) = (line.place(at - ABOUT), line.place(at + ABOUT));
        let (before, after) = (here - from, to - here);
        let long = distance(from, here) * distance(here, to);
        if long > 0.0 {
            let cos = dot(before, after) / long;
            if cos < CORNER.to_radians().cos() {
                sharp.push((cos, i));
            }
        }
    }
    sharp.sort_by(|a, b| a.0.total_cmp(&b.0));
    // A number that is not negative compares as its bits do.
    let mut fixed = BTreeMap::from([(0u64, 0.0), (total.to_bits(), total)]);
    for (_, i) in sharp {
        let at = lengths[i];
        let crowds = |other: Option<(&u64, &f64)>| {
            other.is_some_and(|(_, &other)| {
                (at - other).abs() < shortest || distance(line.place(other), corners[i]) < LEAST
            })
        };
        let bits = at.to_bits();
        if !crowds(fixed.range(..=bits).next_back()) && !crowds(fixed.range(bits..).next()) {
            fixed.insert(bits, at);
        }
    }
    fixed.into_values().collect()
}
