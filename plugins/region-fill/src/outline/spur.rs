//! A run there and back across a middle that is too small to wind round.

use super::levels::Levels;
use super::splice::Splice;
use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::geometry::measured::Ring;

/// Half of what is cut out of the ring about it, in mm.
const HALF: f64 = 0.2;

/// Leads the ring that lies about `middle`, one of a layer's, across it and back.
pub fn sew(levels: &Levels, layer: usize, middle: &Ring, splice: &mut Splice) {
    let (a, b) = longest_axis(middle);
    let mut best: Option<(f64, usize, f64, Coord<f64>)> = None;
    for &ring in &levels.layers[layer].rings {
        let about = &levels.rings[ring];
        for (near, far) in [(a, b), (b, a)] {
            let at = about.nearest(near);
            let away = distance(about.place(at), near);
            if best.is_none_or(|(least, ..)| away < least) && splice.room(ring, at, HALF).is_some()
            {
                best = Some((away, ring, at, far));
            }
        }
    }
    // Where no room is left, several lines meet already.
    if let Some((_, ring, at, far)) = best {
        let (before, after) = splice.cut(ring, at - HALF, at + HALF);
        splice.join(before, after, vec![far]);
    }
}

/// The two corners farthest apart.
fn longest_axis(ring: &Ring) -> (Coord<f64>, Coord<f64>) {
    let corners = ring.corners();
    let pairs = corners.iter().enumerate();
    let pairs = pairs.flat_map(|(i, &a)| corners[..i].iter().map(move |&b| (a, b)));
    pairs
        .max_by(|p, q| distance(p.0, p.1).total_cmp(&distance(q.0, q.1)))
        .unwrap_or((corners[0], corners[0]))
}
