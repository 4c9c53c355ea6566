//! The rings of a region: lines at even depths, nested in one another.

use hoopwright_sdk::geometry::area::{clean, difference};
use hoopwright_sdk::geometry::geo::Polygon;
use hoopwright_sdk::geometry::measured::Ring;
use hoopwright_sdk::geometry::offset;

/// Shorter rings are left out, in mm: what lies inside is hardly wider than a thread.
const SHORTEST_RING: f64 = 1.2;

/// In the middle, rings shorter than this give way to one run there and back, in mm: round them,
/// stitches would be shorter than 1 mm.
const SHORTEST_ROUND: f64 = 3.0;

/// What is too narrow for the first ring is run along where it is longer than this, in mm.
const SHORTEST_SLIVER: f64 = 1.0;

/// What a thread covers beyond the distance between lines, in mm: leftovers this thin are none.
const SLACK: f64 = 0.02;

/// A connected piece of the region at some depth.
#[derive(Clone, Debug, Default)]
pub struct Layer {
    /// The rings along its edges.
    pub rings: Vec<usize>,
    /// The layers inside it, one step deeper.
    pub inner: Vec<usize>,
}

/// The rings of a region and how they are nested: a tree of offset rings (M. Held, "On the
/// computational geometry of pocket machining", 1991).
#[derive(Clone, Debug, Default)]
pub struct Levels {
    /// All rings, outer ones first.
    pub rings: Vec<Ring>,
    /// Outer ones before their inner ones; the first has no rings but holds all others.
    pub layers: Vec<Layer>,
    /// Middles too small to wind round, and the layer about each.
    pub middles: Vec<(usize, Ring)>,
}

impl Levels {
    /// The rings of `polygon` at depths of a half, one and a half, ... times `pitch`.
    ///
    /// Each comes from the one outside it, so that the cost follows what is left of the region.
    /// Corners that grow in number with each offset are thinned by [`offset::grow`]. Where the
    /// region is too narrow for the first ring, its own edge serves, so that nothing of it is left
    /// bare, and parts joined by a narrow neck stay joined.
    pub fn new(polygon: &Polygon<f64>, pitch: f64) -> Self {
        let mut levels = Self::default();
        levels.layers.push(Layer::default());
        let whole = clean(&polygon.clone().into());
        let first = offset::grow(&whole, -pitch / 2.0);
        let reached = offset::grow(&first, pitch / 2.0 + SLACK);
        let slivers = difference(&whole, &reached).into_iter();
        let mut open: Vec<(usize, Polygon<f64>)> = Vec::new();
        for polygon in first {
            levels.add(0, polygon, SHORTEST_RING, &mut open);
        }
        for polygon in slivers {
            levels.add(0, polygon, 2.0 * SHORTEST_SLIVER, &mut Vec::new());
        }
        while let Some((layer, polygon)) = open.pop() {
            for inner in offset::grow(&polygon.into(), -pitch) {
                levels.add(layer, inner, SHORTEST_RING, &mut open);
            }
        }
        levels
    }

    /// Adds the rings of a polygon inside a layer, and the polygon to those to look into.
    fn add(
        &mut self,
        outside: usize,
        polygon: Polygon<f64>,
        shortest: f64,
        open: &mut Vec<(usize, Polygon<f64>)>,
    ) {
        let ring = |line| Ring::new(line).filter(|ring| ring.length() >= shortest);
        let Some(outer) = ring(polygon.exterior()) else {
            return;
        };
        if outside > 0 && outer.length() < SHORTEST_ROUND && polygon.interiors().is_empty() {
            self.middles.push((outside, outer));
            return;
        }
        let before = self.rings.len();
        self.rings.push(outer);
        self.rings
            .extend(polygon.interiors().iter().filter_map(ring));
        let layer = self.layers.len();
        self.layers.push(Layer {
            rings: (before..self.rings.len()).collect(),
            inner: Vec::new(),
        });
        self.layers[outside].inner.push(layer);
        open.push((layer, polygon));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_sdk::geometry::geo::{Coord, polygon};
    use std::f64::consts::TAU;

    /// Rings pitch apart have the total length area / pitch: disc R = 10 at 0.4 mm: 785.40 mm.
    #[test]
    fn the_rings_of_a_disc_are_as_long_as_area_over_pitch() {
        let corner = |i: i32| {
            let (y, x) = (TAU * f64::from(i) / 720.0).sin_cos();
            Coord {
                x: 10.0 * x,
                y: 10.0 * y,
            }
        };
        let disc = Polygon::new((0..720).map(corner).collect(), vec![]);
        let levels = Levels::new(&disc, 0.4);
        let middles = levels.middles.iter().map(|(_, ring)| ring);
        let length: f64 = levels.rings.iter().chain(middles).map(Ring::length).sum();
        assert!((length - 785.40).abs() < 2.0, "{length}");
        assert_eq!(levels.rings.len() + levels.middles.len(), 25);
    }

    #[test]
    fn a_neck_too_narrow_for_rings_is_kept() {
        let dumbbell = polygon![
            (x: 0., y: 0.), (x: 5., y: 0.), (x: 5., y: 2.4), (x: 10., y: 2.4), (x: 10., y: 0.), (x: 15., y: 0.),
            (x: 15., y: 5.), (x: 10., y: 5.), (x: 10., y: 2.5), (x: 5., y: 2.5), (x: 5., y: 5.), (x: 0., y: 5.)
        ];
        let levels = Levels::new(&dumbbell, 0.2);
        assert_eq!(levels.layers[0].inner.len(), 3);
    }
}
