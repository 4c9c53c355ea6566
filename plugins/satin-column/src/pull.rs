//! Pull compensation: how far crossings reach past the edges of a column, since the thread draws
//! the cloth together along the stitch.

/// No crossing reaches farther past an edge than this, in mm, whatever the settings add up to.
const MOST: f64 = 3.0;

/// How far crossings reach past each edge: a fixed length, and a share of the width.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pull {
    /// Past the left edge, in mm.
    left: f64,
    /// Past the right edge, in mm.
    right: f64,
    /// Past each edge besides, as a share of the width.
    share: f64,
}

impl Pull {
    /// No compensation.
    pub const NONE: Self = Self {
        left: 0.0,
        right: 0.0,
        share: 0.0,
    };

    /// Past the left and the right edge in mm, and past both together by a share of the width.
    pub fn new(left: f64, right: f64, share_of_width: f64) -> Self {
        Self {
            left,
            right,
            share: share_of_width / 2.0,
        }
    }

    /// Past the left edge of a crossing `width` mm long, in mm.
    pub fn left(&self, width: f64) -> f64 {
        (self.left + self.share * width).min(MOST)
    }

    /// Past its right edge, in mm.
    pub fn right(&self, width: f64) -> f64 {
        (self.right + self.share * width).min(MOST)
    }

    /// How long a crossing `width` mm long becomes, in mm.
    pub fn over(&self, width: f64) -> f64 {
        width + self.left(width) + self.right(width)
    }

    /// The same compensation of a column gone the other way.
    #[must_use]
    pub fn turned(self) -> Self {
        Self {
            left: self.right,
            right: self.left,
            ..self
        }
    }
}
