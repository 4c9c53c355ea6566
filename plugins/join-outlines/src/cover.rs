//! What is sewn over an area later, and how much of a line it hides.

use geo::MultiPolygon;
use geometry::area::clean;
use geometry::offset::grow;
use hoopwright_sdk::prelude::*;
use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

/// How far inside the edge of what covers it a thread must lie to be hidden, in mm: half a
/// thread's width, and a little for cloth that gives.
const INSET: f64 = 0.3;

/// So near to its ends, in mm, a hidden way may come out to the edge of what covers it: that is
/// where lines end that were cut beneath it.
const AT_ENDS: f64 = 1.0;

/// An area on which it can quickly be asked what lies inside.
#[derive(Clone, Debug)]
pub struct Cover {
    edges: RTree<Edge>,
    greatest_x: f64,
}

type Edge = GeomWithData<Rectangle<[f64; 2]>, [Coord<f64>; 2]>;

impl Cover {
    /// The cover of a clean area.
    pub fn new(area: &MultiPolygon<f64>) -> Self {
        let mut edges = Vec::new();
        let mut greatest_x = f64::NEG_INFINITY;
        for polygon in area {
            let rings = std::iter::once(polygon.exterior()).chain(polygon.interiors());
            for step in rings.flat_map(|ring| ring.0.windows(2)) {
                greatest_x = greatest_x.max(step[0].x);
                let [a, b] = [step[0], step[1]];
                let bounds = Rectangle::from_corners([a.x, a.y], [b.x, b.y]);
                edges.push(GeomWithData::new(bounds, [a, b]));
            }
        }
        Self {
            edges: RTree::bulk_load(edges),
            greatest_x,
        }
    }

    /// Whether a place lies inside.
    pub fn contains(&self, place: Coord<f64>) -> bool {
        if place.x > self.greatest_x {
            return false;
        }
        let ray = AABB::from_corners([place.x, place.y], [self.greatest_x, place.y]);
        let crossed = |edge: &&Edge| {
            let [a, b] = edge.data;
            (a.y > place.y) != (b.y > place.y)
                && place.x < a.x + (b.x - a.x) * ((place.y - a.y) / (b.y - a.y))
        };
        let met = self.edges.locate_in_envelope_intersecting(ray);
        met.filter(crossed).count() % 2 == 1
    }

    /// How many mm of a line lie inside.
    pub fn length_inside(&self, line: &[Coord<f64>]) -> f64 {
        line.windows(2)
            .map(|step| self.fraction_inside([step[0], step[1]], 0.0, 1.0) * length(step))
            .sum()
    }

    /// Which part of the straight way from `from` to `to` (0 to 1 along it) lies inside, as a
    /// fraction of the whole.
    fn fraction_inside(&self, [a, b]: [Coord<f64>; 2], from: f64, to: f64) -> f64 {
        let mut cuts = vec![from, to];
        let bounds = AABB::from_corners([a.x.min(b.x), a.y.min(b.y)], [a.x.max(b.x), a.y.max(b.y)]);
        for edge in self.edges.locate_in_envelope_intersecting(bounds) {
            let [c, d] = edge.data;
            let (r, q, between) = (b - a, d - c, c - a);
            let cross = r.x * q.y - r.y * q.x;
            if cross != 0.0 {
                let t = (between.x * q.y - between.y * q.x) / cross;
                if t > from && t < to {
                    cuts.push(t);
                }
            }
        }
        cuts.sort_by(f64::total_cmp);
        let pieces = cuts.windows(2).filter(|piece| {
            let middle = (piece[0] + piece[1]) / 2.0;
            piece[1] > piece[0] && self.contains(a + (b - a) * middle)
        });
        pieces.map(|piece| piece[1] - piece[0]).sum()
    }
}

fn length(step: &[Coord<f64>]) -> f64 {
    geometry::measure::distance(step[0], step[1])
}

/// A cover, and its inside where a thread cannot be seen.
#[derive(Clone, Debug)]
pub struct Hiding {
    whole: Cover,
    deep: Cover,
}

impl Hiding {
    /// What `areas`, together, hide.
    pub fn new<'a>(areas: impl IntoIterator<Item = &'a MultiPolygon<f64>>) -> Self {
        let all: MultiPolygon<f64> = areas.into_iter().flatten().cloned().collect();
        let all = clean(&all);
        Self {
            whole: Cover::new(&all),
            deep: Cover::new(&grow(&all, -INSET)),
        }
    }

    /// How many mm of a line cannot be seen.
    pub fn hidden(&self, line: &[Coord<f64>]) -> f64 {
        self.deep.length_inside(line)
    }

    /// Whether a straight way cannot be seen.
    pub fn hides(&self, [a, b]: [Coord<f64>; 2]) -> bool {
        let long = length(&[a, b]);
        if long <= 0.0 {
            return true;
        }
        // A needle's breadth may show at either end.
        let tip = (0.05 / long).min(0.5);
        let ends = (AT_ENDS / long).min(0.5);
        let all_inside = |cover: &Cover, off: f64| {
            let wanted = 1.0 - 2.0 * off;
            wanted <= 0.0 || cover.fraction_inside([a, b], off, 1.0 - off) >= wanted - 1e-6
        };
        all_inside(&self.whole, tip) && all_inside(&self.deep, ends)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::polygon;

    fn square() -> Hiding {
        let area = polygon![(x: 0., y: 0.), (x: 10., y: 0.), (x: 10., y: 10.), (x: 0., y: 10.)];
        Hiding::new([&area.into()])
    }

    fn way(ax: f64, ay: f64, bx: f64, by: f64) -> [Coord<f64>; 2] {
        [Coord { x: ax, y: ay }, Coord { x: bx, y: by }]
    }

    #[test]
    fn what_lies_inside_less_the_inset_is_hidden() {
        let hidden = square().hidden(&way(-5., 5., 20., 5.));
        assert!((hidden - 9.4).abs() < 1e-3, "{hidden}");
        assert_eq!(square().hidden(&way(-5., 11., 20., 11.)), 0.0);
        // Along the edge nothing is hidden.
        assert_eq!(square().hidden(&way(0., 0., 10., 0.)), 0.0);
    }

    #[test]
    fn a_hidden_way_may_begin_and_end_at_the_edge() {
        assert!(square().hides(way(0., 5., 10., 5.)));
        assert!(square().hides(way(0.2, 5., 5., 9.)));
        assert!(!square().hides(way(-0.5, 5., 10., 5.)));
        assert!(!square().hides(way(1., 0.1, 9., 0.1)));
    }

    #[test]
    fn a_hole_hides_nothing() {
        let ring = polygon!(
            exterior: [(x: 0., y: 0.), (x: 10., y: 0.), (x: 10., y: 10.), (x: 0., y: 10.)],
            interiors: [[(x: 4., y: 4.), (x: 6., y: 4.), (x: 6., y: 6.), (x: 4., y: 6.)]],
        );
        let ring = Hiding::new([&ring.into()]);
        assert!(!ring.hides(way(1., 5., 9., 5.)));
        let hidden = ring.hidden(&way(0., 5., 10., 5.));
        assert!((hidden - 6.8).abs() < 1e-2, "{hidden}");
        assert!(!ring.whole.contains(Coord { x: 5., y: 5. }));
    }
}
