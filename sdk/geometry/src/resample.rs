//! Needle points along a line.

use crate::measure::distance;
use geo::{Coord, LineString};

/// How needle points are placed along a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spacing {
    /// The longest step, in mm.
    pub longest: f64,
    /// The shortest step worth a stitch, in mm: corners closer to their neighbours are passed over.
    pub shortest: f64,
    /// Corners that turn by at least this many degrees always get a needle point.
    pub corner: f64,
    /// The largest distance between the drawn line and the sewn one, in mm.
    pub tolerance: f64,
}

impl Spacing {
    /// Steps of at most `longest` mm, none under a fifth of that or 0.3 mm, a needle point in
    /// every corner of 30° or more, and no more than 0.1 mm from the drawn line.
    pub fn new(longest: f64) -> Self {
        Self {
            longest,
            shortest: (longest / 5.0).max(0.3).min(longest),
            corner: 30.0,
            tolerance: 0.1,
        }
    }
}

/// Needle points along `line`, from its first place to its last, spread evenly between corners.
///
/// No step is longer than `spacing.longest`. Steps under `spacing.shortest` occur only where the
/// whole line is shorter. On curves the steps shorten until the chord keeps the tolerance, but
/// never under the shortest step.
pub fn along(line: &LineString<f64>, spacing: Spacing) -> Vec<Coord<f64>> {
    let corners = &line.0;
    let Some(&first) = corners.first() else {
        return Vec::new();
    };
    let mut points = vec![first];
    let fixed = fixed_corners(corners, spacing);
    for pair in fixed.windows(2) {
        spread(&corners[pair[0]..=pair[1]], spacing, &mut points);
    }
    points
}

/// The places in `corners` that get a needle point whatever the spacing: both ends, and corners
/// that turn sharply, unless they crowd.
fn fixed_corners(corners: &[Coord<f64>], spacing: Spacing) -> Vec<usize> {
    let mut fixed = vec![0];
    let sharp = spacing.corner.to_radians().cos();
    let last = corners.len() - 1;
    let mut since = 0.0;
    for i in 1..last {
        since += distance(corners[i - 1], corners[i]);
        let (before, after) = (corners[i] - corners[i - 1], corners[i + 1] - corners[i]);
        let lengths = before.x.hypot(before.y) * after.x.hypot(after.y);
        let turns = lengths > 0.0 && (before.x * after.x + before.y * after.y) / lengths < sharp;
        if turns && since >= spacing.shortest {
            fixed.push(i);
            since = 0.0;
        }
    }
    if last > 0 {
        since += distance(corners[last - 1], corners[last]);
        // The end is always kept; a corner that crowds it gives way.
        if since < spacing.shortest && fixed.len() > 1 {
            fixed.pop();
        }
        fixed.push(last);
    }
    fixed
}

/// Adds the points after the first of a smooth part.
fn spread(part: &[Coord<f64>], spacing: Spacing, points: &mut Vec<Coord<f64>>) {
    let lengths = cumulative(part);
    let total = lengths[lengths.len() - 1];
    let steps_for = |step: f64| (total / step - 1e-9).ceil().max(1.0) as usize;
    let fewest = steps_for(spacing.longest);
    let most = ((total / spacing.shortest + 1e-9).floor().max(1.0) as usize).max(fewest);
    let mut steps = fewest;
    while steps < most && sag(part, &lengths, steps) > spacing.tolerance {
        // A chord's sag falls with the square of its length.
        let ratio = (sag(part, &lengths, steps) / spacing.tolerance).sqrt();
        steps = ((steps as f64 * ratio.min(2.0)).ceil() as usize).clamp(steps + 1, most);
    }
    points.extend((1..=steps).map(|i| place(part, &lengths, total * i as f64 / steps as f64)));
}

/// The farthest a corner of `part` lies from the chord that passes it.
fn sag(part: &[Coord<f64>], lengths: &[f64], steps: usize) -> f64 {
    let total = lengths[lengths.len() - 1];
    let mut worst: f64 = 0.0;
    let mut step = 0;
    let mut chord = (part[0], place(part, lengths, total / steps as f64));
    for (&corner, &at) in part.iter().zip(lengths) {
        let here = ((at / total * steps as f64) as usize).min(steps - 1);
        if here != step {
            step = here;
            let end = |i: usize| place(part, lengths, total * i as f64 / steps as f64);
            chord = (end(step), end(step + 1));
        }
        worst = worst.max(from_chord(corner, chord.0, chord.1));
    }
    worst
}

fn from_chord(p: Coord<f64>, a: Coord<f64>, b: Coord<f64>) -> f64 {
    let chord = b - a;
    let square = chord.x * chord.x + chord.y * chord.y;
    if square == 0.0 {
        return distance(p, a);
    }
    let along = (((p.x - a.x) * chord.x + (p.y - a.y) * chord.y) / square).clamp(0.0, 1.0);
    distance(p, a + chord * along)
}

/// The length of a line up to each of its corners.
pub fn cumulative(corners: &[Coord<f64>]) -> Vec<f64> {
    let mut so_far = 0.0;
    let mut lengths = Vec::with_capacity(corners.len());
    for (i, &corner) in corners.iter().enumerate() {
        if i > 0 {
            so_far += distance(corners[i - 1], corner);
        }
        lengths.push(so_far);
    }
    lengths
}

/// The place `at` mm along a line, given its [`cumulative`] lengths; its ends where `at` lies beyond.
///
/// # Panics
/// When `corners` is empty.
pub fn place(corners: &[Coord<f64>], lengths: &[f64], at: f64) -> Coord<f64> {
    let next = lengths.partition_point(|&length| length < at);
    if next == 0 {
        return corners[0];
    }
    if next >= corners.len() {
        return corners[corners.len() - 1];
    }
    let step = lengths[next] - lengths[next - 1];
    let fraction = if step > 0.0 {
        (at - lengths[next - 1]) / step
    } else {
        0.0
    };
    corners[next - 1] + (corners[next] - corners[next - 1]) * fraction
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::line_string;
    use proptest::prelude::*;

    #[test]
    fn a_straight_line_is_divided_evenly() {
        let points = along(
            &line_string![(x: 0., y: 0.), (x: 10., y: 0.)],
            Spacing::new(3.0),
        );
        let xs: Vec<f64> = points.iter().map(|p| p.x).collect();
        assert_eq!(xs, [0.0, 2.5, 5.0, 7.5, 10.0]);
    }

    #[test]
    fn a_corner_gets_a_needle_point() {
        let points = along(
            &line_string![(x: 0., y: 0.), (x: 4., y: 0.), (x: 4., y: 5.)],
            Spacing::new(3.0),
        );
        assert!(points.contains(&Coord { x: 4., y: 0. }));
    }

    #[test]
    fn a_small_circle_is_sewn_with_shorter_stitches() {
        let circle: LineString<f64> = (0..=72)
            .map(|i| f64::from(i) * 5.0_f64.to_radians())
            .map(|a| Coord {
                x: 2.0 * a.cos(),
                y: 2.0 * a.sin(),
            })
            .collect();
        let points = along(&circle, Spacing::new(3.0));
        assert!(points.len() > 8, "{}", points.len());
    }

    proptest! {
        #[test]
        fn no_step_is_too_long_and_the_ends_stay(
            corners in prop::collection::vec((-50.0..50.0f64, -50.0..50.0f64), 2..40),
            longest in 0.5..12.0f64,
        ) {
            let line: LineString<f64> = corners.into_iter().collect();
            let spacing = Spacing::new(longest);
            let points = along(&line, spacing);
            prop_assert_eq!(points[0], line.0[0]);
            prop_assert!(distance(points[points.len() - 1], line.0[line.0.len() - 1]) < 1e-9);
            for pair in points.windows(2) {
                prop_assert!(distance(pair[0], pair[1]) <= longest + 1e-6);
            }
        }
    }
}
