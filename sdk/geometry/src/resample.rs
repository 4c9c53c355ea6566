//! Needle points along a line.
//!
//! [`along`] works in four moves: corners that the line does not need are left out
//! ([`thinning`]), sharp corners are fixed, the stretches between them are divided ([`sizing`]
//! where they bend), and what crowds is relieved ([`crowding`]).

mod crowding;
mod sizing;
pub(crate) mod thinning;

pub use crate::measured::{cumulative, place};
pub use sizing::longest_step;

use crate::measure::{distance, dot};
use crate::measured::Measured;
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
    let finite = |corner: &Coord<f64>| corner.x.is_finite() && corner.y.is_finite();
    let corners = line.0.iter().copied().filter(finite).collect();
    let corners = thinning::thin(corners, spacing.tolerance * 0.2);
    spacing.tolerance *= 0.8;
    if corners.len() < 2 {
        return corners;
    }
    let line = Measured::new(corners);
    let fixed = fixed_corners(&line, spacing);
    let mut marks = vec![0.0];
    for pair in fixed.windows(2) {
        sizing::divide(&line, pair[0], pair[1], spacing, &mut marks);
    }
    crowding::relieve(&line, spacing, &mut marks);
    marks.into_iter().map(|at| line.place(at)).collect()
}

impl Measured {
    /// Whether the line turns at corner `i` by at least the angle whose cosine is `sharp`.
    fn turns(&self, i: usize, sharp: f64) -> bool {
        let corners = self.corners();
        if i == 0 || i + 1 >= corners.len() {
            return false;
        }
        let before = corners[i] - corners[i - 1];
        let after = corners[i + 1] - corners[i];
        let lengths = distance(corners[i - 1], corners[i]) * distance(corners[i], corners[i + 1]);
        lengths > 0.0 && dot(before, after) / lengths < sharp
    }
}

/// How far along the line the needle points lie that are wanted whatever the spacing: both ends,
/// and corners that turn sharply, unless they crowd.
fn fixed_corners(line: &Measured, spacing: Spacing) -> Vec<f64> {
    let sharp = spacing.corner.to_radians().cos();
    let mut fixed = vec![0.0];
    let mut since = 0.0;
    for i in 1..line.corners().len() - 1 {
        let at = line.lengths()[i];
        if at - since >= spacing.shortest && line.turns(i, sharp) {
            fixed.push(at);
            since = at;
        }
    }
    // The end is always kept; a corner that crowds it gives way.
    if fixed.len() > 1 && line.length() - since < spacing.shortest {
        fixed.pop();
    }
    fixed.push(line.length());
    fixed
}

#[cfg(test)]
mod tests;
