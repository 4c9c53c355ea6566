//! Needle points along a line.
//!
//! [`along`] works in four moves: corners that the line does not need are left out
//! ([`thinning`]), sharp corners are fixed, the stretches between them are divided ([`sizing`]
//! where they bend), and what crowds is relieved ([`crowding`]).

mod crowding;
mod sizing;
pub(crate) mod thinning;

use crate::measure::{distance, nearest_on};
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

    /// The same spacing with every number in a range that can be sewn, so that no line asks for
    /// endlessly many points.
    fn sane(self) -> Self {
        let or = |value: f64, otherwise: f64| if value.is_finite() { value } else { otherwise };
        let longest = or(self.longest, 2.5).max(0.05);
        Self {
            longest,
            shortest: or(self.shortest, 0.3).clamp(0.01, longest),
            corner: or(self.corner, 30.0).clamp(1.0, 180.0),
            tolerance: or(self.tolerance, 0.1).max(0.001),
        }
    }
}

/// Needle points along `line`, from its first place to its last, spread evenly between corners.
///
/// No step is longer than `spacing.longest`. No two points in a row are closer than
/// `spacing.shortest`, unless the whole line stays that near to one of its ends, or the shortest
/// step is more than two fifths of the longest and a length cannot be divided within both. On
/// curves the steps shorten until the chord keeps the tolerance, but never under the shortest
/// step; a hairpin or a corner that only a shorter step could reach is passed over.
///
/// Places that are not finite are left out. A line without length gives its one place.
pub fn along(line: &LineString<f64>, spacing: Spacing) -> Vec<Coord<f64>> {
    let mut spacing = spacing.sane();
    // The tolerance is shared: a fifth for leaving out corners, the rest for the chords.
    let line = Measured::new(&line.0, spacing.tolerance * 0.2);
    spacing.tolerance *= 0.8;
    if line.corners.len() < 2 {
        return line.corners;
    }
    let fixed = fixed_corners(&line, spacing);
    let mut marks = vec![0.0];
    for pair in fixed.windows(2) {
        sizing::divide(&line, pair[0], pair[1], spacing, &mut marks);
    }
    crowding::relieve(&line, spacing, &mut marks);
    marks.into_iter().map(|at| line.place(at)).collect()
}

/// A line of at least one place, with the length up to each corner. No corner repeats the one
/// before it.
struct Measured {
    corners: Vec<Coord<f64>>,
    lengths: Vec<f64>,
}

impl Measured {
    fn new(corners: &[Coord<f64>], stray: f64) -> Self {
        let corners = corners
            .iter()
            .copied()
            .filter(|corner| corner.x.is_finite() && corner.y.is_finite())
            .collect();
        let corners = thinning::thin(corners, stray);
        let lengths = cumulative(&corners);
        Self { corners, lengths }
    }

    fn total(&self) -> f64 {
        self.lengths.last().copied().unwrap_or(0.0)
    }

    fn place(&self, at: f64) -> Coord<f64> {
        place(&self.corners, &self.lengths, at)
    }

    /// The length of the chord between two places along the line.
    fn chord(&self, from: f64, to: f64) -> f64 {
        distance(self.place(from), self.place(to))
    }

    /// The corners that lie strictly between two places along the line.
    fn between(&self, from: f64, to: f64) -> std::ops::Range<usize> {
        let first = self.lengths.partition_point(|&length| length <= from);
        let end = self.lengths.partition_point(|&length| length < to);
        first..end.max(first)
    }

    /// The farthest that the line strays from the chord between two places along it.
    fn sag(&self, from: f64, to: f64) -> f64 {
        let corners = self.between(from, to);
        // Most chords of a straight line have no corner between, and need no places.
        if corners.is_empty() {
            return 0.0;
        }
        let chord = [self.place(from), self.place(to)];
        let mut farthest = 0.0;
        for &corner in &self.corners[corners] {
            let off = corner - nearest_on(chord, corner);
            let square = off.x * off.x + off.y * off.y;
            // Not `max`: in a guest that is a call.
            if square > farthest {
                farthest = square;
            }
        }
        farthest.sqrt()
    }

    /// Whether the line turns at corner `i` by at least the angle whose cosine is `sharp`.
    fn turns(&self, i: usize, sharp: f64) -> bool {
        if i == 0 || i + 1 >= self.corners.len() {
            return false;
        }
        let before = self.corners[i] - self.corners[i - 1];
        let after = self.corners[i + 1] - self.corners[i];
        let lengths = distance(self.corners[i - 1], self.corners[i])
            * distance(self.corners[i], self.corners[i + 1]);
        lengths > 0.0 && (before.x * after.x + before.y * after.y) / lengths < sharp
    }
}

/// How far along the line the needle points lie that are wanted whatever the spacing: both ends,
/// and corners that turn sharply, unless they crowd.
fn fixed_corners(line: &Measured, spacing: Spacing) -> Vec<f64> {
    let sharp = spacing.corner.to_radians().cos();
    let mut fixed = vec![0.0];
    let mut since = 0.0;
    for i in 1..line.corners.len() - 1 {
        let at = line.lengths[i];
        if at - since >= spacing.shortest && line.turns(i, sharp) {
            fixed.push(at);
            since = at;
        }
    }
    // The end is always kept; a corner that crowds it gives way.
    if fixed.len() > 1 && line.total() - since < spacing.shortest {
        fixed.pop();
    }
    fixed.push(line.total());
    fixed
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
    // A corner itself, not what arithmetic makes of it: closed lines close exactly.
    if lengths[next] == at {
        return corners[next];
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
mod tests;
