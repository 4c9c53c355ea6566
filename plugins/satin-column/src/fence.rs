//! The edge of a region, ready to tell which parts of many short lines lie inside it.

use geo::BoundingRect;
use hoopwright_sdk::prelude::*;

/// Strips are at least this wide, in mm.
const LEAST_STRIP: f64 = 0.5;
/// There are never more strips than this.
const MOST_STRIPS: f64 = 4096.0;

/// The edges of a region, sorted into strips across its longer side, so that a line meets only the
/// edges near it.
pub struct Fence {
    strips: Vec<Vec<[Coord<f64>; 2]>>,
    /// Whether strips follow each other along x.
    along_x: bool,
    first: f64,
    width: f64,
}

/// A part of a straight way, as shares of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Part {
    /// Where it begins.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
}

impl Part {
    /// All of the way.
    pub const ALL: Self = Self { from: 0.0, to: 1.0 };

    /// How much of the way it is.
    pub fn length(self) -> f64 {
        self.to - self.from
    }
}

impl Fence {
    /// The edge of a clean region.
    pub fn new(area: &geo::MultiPolygon<f64>) -> Self {
        let edges: Vec<[Coord<f64>; 2]> = area
            .iter()
            .flat_map(|polygon| std::iter::once(polygon.exterior()).chain(polygon.interiors()))
            .flat_map(|ring| ring.0.windows(2).map(|pair| [pair[0], pair[1]]))
            .collect();
        let (along_x, first, length) = area.bounding_rect().map_or((true, 0.0, 0.0), |bounds| {
            if bounds.width() >= bounds.height() {
                (true, bounds.min().x, bounds.width())
            } else {
                (false, bounds.min().y, bounds.height())
            }
        });
        let count = (edges.len() as f64)
            .min(length / LEAST_STRIP)
            .clamp(1.0, MOST_STRIPS)
            .ceil();
        let mut fence = Self {
            strips: vec![Vec::new(); count as usize],
            along_x,
            first,
            width: (length / count).max(1e-9),
        };
        for edge in edges {
            for strip in fence.strips_between(edge[0], edge[1]) {
                fence.strips[strip].push(edge);
            }
        }
        fence
    }

    /// The parts of the straight way from `a` to `b` that lie inside, in order.
    pub fn parts_inside(&self, a: Coord<f64>, b: Coord<f64>) -> Vec<Part> {
        let way = b - a;
        // Where the way passes the edge, and whether it comes in there: the region lies on the
        // left of each edge in coordinates.
        let mut passes: Vec<(f64, bool)> = Vec::new();
        for strip in self.strips_between(a, b) {
            for [from, to] in &self.strips[strip] {
                let edge = *to - *from;
                let turn = edge.x * way.y - edge.y * way.x;
                if turn == 0.0 {
                    continue;
                }
                let apart = a - *from;
                let on_edge = (apart.x * way.y - apart.y * way.x) / turn;
                let on_way = (apart.x * edge.y - apart.y * edge.x) / turn;
                // An edge lies in several strips, but passes the way in one.
                if (0.0..1.0).contains(&on_edge)
                    && (0.0..=1.0).contains(&on_way)
                    && self.strip_of(a + way * on_way) == strip
                {
                    passes.push((on_way, turn > 0.0));
                }
            }
        }
        passes.sort_by(|p, q| p.0.total_cmp(&q.0));
        let mut inside = match passes.first() {
            Some(first) => !first.1,
            None => self.contains((a + b) / 2.0),
        };
        let mut parts = Vec::new();
        let mut from = 0.0;
        for (at, comes_in) in passes {
            if inside && !comes_in {
                parts.push(Part { from, to: at });
            } else if !inside && comes_in {
                from = at;
            }
            inside = comes_in;
        }
        if inside {
            parts.push(Part { from, to: 1.0 });
        }
        parts
    }

    /// Whether a place lies inside.
    pub fn contains(&self, place: Coord<f64>) -> bool {
        let split = |p: Coord<f64>| if self.along_x { (p.x, p.y) } else { (p.y, p.x) };
        let (u, v) = split(place);
        let beyond = |edge: &&[Coord<f64>; 2]| {
            let ((from_u, from_v), (to_u, to_v)) = (split(edge[0]), split(edge[1]));
            (from_u > u) != (to_u > u)
                && v < from_v + (to_v - from_v) * (u - from_u) / (to_u - from_u)
        };
        self.strips[self.strip_of(place)]
            .iter()
            .filter(beyond)
            .count()
            % 2
            == 1
    }

    fn strip_of(&self, place: Coord<f64>) -> usize {
        let at = if self.along_x { place.x } else { place.y };
        let strip = ((at - self.first) / self.width).max(0.0) as usize;
        strip.min(self.strips.len() - 1)
    }

    fn strips_between(&self, a: Coord<f64>, b: Coord<f64>) -> std::ops::RangeInclusive<usize> {
        let (a, b) = (self.strip_of(a), self.strip_of(b));
        a.min(b)..=a.max(b)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn c(x: f64, y: f64) -> Coord<f64> {
        Coord { x, y }
    }

    fn comb() -> Fence {
        let corners = [
            (0., 0.),
            (20., 0.),
            (20., 5.),
            (15., 5.),
            (15., 2.),
            (10., 2.),
            (10., 5.),
            (0., 5.),
        ];
        let ring: geo::LineString<f64> = corners.map(|(x, y)| c(x, y)).into_iter().collect();
        let rings = [ring];
        Fence::new(&geometry::area::from_rings(
            rings,
            geometry::FillRule::EvenOdd,
        ))
    }

    #[test]
    fn a_way_over_a_bay_has_two_parts_inside() {
        let parts = comb().parts_inside(c(0.0, 4.0), c(20.0, 4.0));
        assert_eq!(parts.len(), 2, "{parts:?}");
        assert!((parts[0].to - 0.5).abs() < 1e-9 && (parts[1].from - 0.75).abs() < 1e-9);
        let upright = comb().parts_inside(c(12.0, 6.0), c(12.0, -1.0));
        assert_eq!(upright.len(), 1);
        assert!((upright[0].length() - 2.0 / 7.0).abs() < 1e-9);
    }

    #[test]
    fn a_way_that_meets_no_edge_is_inside_or_not() {
        assert_eq!(comb().parts_inside(c(1., 1.), c(14., 1.5)), [Part::ALL]);
        assert!(comb().parts_inside(c(11., 4.), c(14., 3.)).is_empty());
        assert!(comb().parts_inside(c(-5., 4.), c(-6., 3.)).is_empty());
    }

    #[test]
    fn nothing_is_inside_nothing() {
        let fence = Fence::new(&geo::MultiPolygon::new(Vec::new()));
        assert!(fence.parts_inside(c(0., 0.), c(1., 1.)).is_empty());
    }
}
