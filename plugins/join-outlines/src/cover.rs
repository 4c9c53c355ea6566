//! What is sewn over an area later, and how much of a line it hides.

use geo::MultiPolygon;
use geometry::area::clean;
use geometry::edge_grid::EdgeGrid;
use geometry::hidden_ways::EDGE;
use geometry::measure::{crossing, distance};
use geometry::offset::grow;
use hoopwright_sdk::prelude::*;

/// So near to its ends, in mm, a hidden way may come out to the edge of what covers it: that is
/// where lines end that were cut beneath it.
const AT_ENDS: f64 = 1.0;

/// How many mm of a line lie in an area.
pub fn length_inside(area: &EdgeGrid, line: &[Coord<f64>]) -> f64 {
    line.windows(2)
        .map(|step| share_inside(area, [step[0], step[1]], 0.0, 1.0) * distance(step[0], step[1]))
        .sum()
}

/// How much of the straight way from `a` to `b` lies in an area, of what is `from` to `to` along it: all
/// three as shares of the way.
fn share_inside(area: &EdgeGrid, [a, b]: [Coord<f64>; 2], from: f64, to: f64) -> f64 {
    let mut cuts = vec![from, to];
    // An edge that only points at the way cuts it where nothing changes.
    let edges = area.edges_near([a, b]).into_iter();
    let met = edges.filter_map(|[c, d]| crossing((a, b - a), (c, d - c)));
    cuts.extend(
        met.map(|[on_way, _]| on_way)
            .filter(|&at| at > from && at < to),
    );
    cuts.sort_by(f64::total_cmp);
    let pieces = cuts.windows(2).filter(|piece| {
        let middle = (piece[0] + piece[1]) / 2.0;
        piece[1] > piece[0] && area.contains(a + (b - a) * middle)
    });
    pieces.map(|piece| piece[1] - piece[0]).sum()
}

/// A cover, and its inside where a thread cannot be seen.
#[derive(Debug)]
pub struct Hiding {
    whole: EdgeGrid,
    deep: EdgeGrid,
}

impl Hiding {
    /// What `areas`, together, hide.
    pub fn new<'a>(areas: impl IntoIterator<Item = &'a MultiPolygon<f64>>) -> Self {
        let all: MultiPolygon<f64> = areas.into_iter().flatten().cloned().collect();
        let all = clean(&all);
        Self {
            whole: EdgeGrid::new(&all),
            deep: EdgeGrid::new(&grow(&all, -EDGE)),
        }
    }

    /// How many mm of a line cannot be seen.
    pub fn hidden(&self, line: &[Coord<f64>]) -> f64 {
        length_inside(&self.deep, line)
    }

    /// Whether a straight way cannot be seen.
    pub fn hides(&self, [a, b]: [Coord<f64>; 2]) -> bool {
        let long = distance(a, b);
        if long <= 0.0 {
            return true;
        }
        // A needle's breadth may show at either end.
        let tip = (0.05 / long).min(0.5);
        let ends = (AT_ENDS / long).min(0.5);
        let all_inside = |area: &EdgeGrid, off: f64| {
            let wanted = 1.0 - 2.0 * off;
            wanted <= 0.0 || share_inside(area, [a, b], off, 1.0 - off) >= wanted - 1e-6
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
