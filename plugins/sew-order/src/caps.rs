//! The orders for caps: outward from the centre seam, and up from the brim.
//!
//! Sewing pushes the fabric before it. On a cap it must go where it can: out from the seam to one side and
//! then, from the seam again, to the other, and up from the brim (trade practice).

use hoopwright_sdk::geometry::geo::Rect;

/// By what objects follow each other: the least first.
pub(crate) type Key = [f64; 3];

/// From the seam outward: what crosses it from the brim up, then all to its right, then all to its left.
pub(crate) fn centre_out(bounds: &Rect<f64>, seam: f64) -> Key {
    let (side, out) = outward(bounds, seam);
    // y grows down, so the brim has the largest.
    let up = -bounds.center().y;
    if side == ACROSS {
        [side, up, out]
    } else {
        [side, out, up]
    }
}

/// From the brim up, and at one height outward from the seam.
pub(crate) fn bottom_up(bounds: &Rect<f64>, seam: f64) -> Key {
    let (side, out) = outward(bounds, seam);
    [-bounds.center().y, side, out]
}

const ACROSS: f64 = 0.0;
const RIGHT: f64 = 1.0;
const LEFT: f64 = 2.0;

/// On which side of the seam something lies, and how far its middle is from it.
fn outward(bounds: &Rect<f64>, seam: f64) -> (f64, f64) {
    let side = if bounds.min().x >= seam {
        RIGHT
    } else if bounds.max().x <= seam {
        LEFT
    } else {
        ACROSS
    };
    (side, (bounds.center().x - seam).abs())
}
