//! The underlay: stitches under the cover that tie the cloth down and carry the edge.

use crate::NeedlePoints;
use crate::ground::Ground;
use crate::ground::route::route;
use crate::recipe::Recipe;
use crate::seam::Seam;
use crate::straight::lay;
use crate::straight::style::Style;
use crate::straight::walk::Walks;
use hoopwright_sdk::StitchRole;
use hoopwright_sdk::geometry::geo::{Area, Coord, LineString, Polygon};
use hoopwright_sdk::geometry::measure::{distance, length};
use hoopwright_sdk::geometry::offset;

/// Edge runs shorter than this are left out, in mm: three stitches of 1 mm.
const SHORTEST_RING: f64 = 3.0;

/// The runs along the edge follow it this closely, in mm.
const ROUGH: f64 = 0.01;

/// Where edges are to be spared, rows across end this much farther inside than the edge run, in mm: that
/// carries the edge.
const CLEAR_OF_EDGE_RUN: f64 = 1.0;

/// Smaller and narrower polygons get no underlay of their own accord (common practice), in mm² and in
/// mm of their mean width.
const SMALLEST_WITH_EDGE: f64 = 8.0;
const NARROWEST_WITH_EDGE: f64 = 1.8;

/// Smaller and narrower ones get no rows across (common practice), in the same units.
const SMALLEST_WITH_ROWS: f64 = 60.0;
const NARROWEST_WITH_ROWS: f64 = 4.0;

/// Which underlays are sewn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Layers {
    /// A run inside the edge.
    pub edge: bool,
    /// Sparse rows across the cover.
    pub rows: bool,
}

impl Layers {
    /// Whether there is any.
    pub fn any(self) -> bool {
        self.edge || self.rows
    }

    /// What suits a polygon: nothing on tiny details, an edge run on small or narrow ones, and rows
    /// across as well on all others.
    pub fn for_size(polygon: &Polygon<f64>) -> Self {
        let area = polygon.unsigned_area();
        let edges = std::iter::once(polygon.exterior()).chain(polygon.interiors());
        // Of a long band this is the width.
        let width = 2.0 * area / edges.map(length).sum::<f64>().max(1e-9);
        Self {
            edge: area >= SMALLEST_WITH_EDGE && width >= NARROWEST_WITH_EDGE,
            rows: area >= SMALLEST_WITH_ROWS && width >= NARROWEST_WITH_ROWS,
        }
    }
}

/// In what order an underlay is sewn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Order {
    /// Whether the rows are sewn before the edge.
    rows_first: bool,
    /// Whether the rows lead toward where the cover begins.
    onward: bool,
}

/// The underlay of a polygon, before it is sewn.
pub struct Ready<'a> {
    ground: &'a Ground,
    recipe: &'a Recipe,
    /// The runs inside the edge.
    rings: Vec<LineString<f64>>,
    /// What the rows across lie on.
    across: Option<Ground>,
}

impl<'a> Ready<'a> {
    /// The chosen layers of a polygon's underlay; `ground` is its cover's.
    pub fn new(
        polygon: &Polygon<f64>,
        ground: &'a Ground,
        layers: Layers,
        recipe: &'a Recipe,
    ) -> Self {
        let angle = recipe.angle + recipe.underlay_turn;
        let rows = || Ground::new(polygon, angle, recipe.underlay_density / 2.0);
        Self {
            ground,
            recipe,
            rings: if layers.edge {
                rings(polygon, recipe)
            } else {
                Vec::new()
            },
            across: layers.rows.then(rows).flatten(),
        }
    }

    /// All orders in which it may be sewn: the usual one, and others where edges are to be spared.
    pub fn orders(&self) -> Vec<Order> {
        let spare = self.recipe.spare_edges && self.across.is_some();
        let choices = |choice: bool| [false, true].into_iter().take(1 + usize::from(choice));
        choices(spare && !self.rings.is_empty())
            .flat_map(|rows_first| choices(spare).map(move |onward| Order { rows_first, onward }))
            .collect()
    }

    /// Sews it from where `seam` ends, or from near `start`; `cover` is where the cover begins. All
    /// of it hangs together, and all travel lies inside the polygon.
    pub fn sew(&self, order: Order, start: Coord<f64>, cover: Coord<f64>, seam: &mut Seam) {
        if !order.rows_first {
            self.sew_edge(start, seam);
        }
        self.sew_rows(seam.last().unwrap_or(start), cover, order.onward, seam);
        if order.rows_first {
            self.sew_edge(seam.last().unwrap_or(start), seam);
        }
    }

    /// A run along each edge, a little inside.
    fn sew_edge(&self, start: Coord<f64>, seam: &mut Seam) {
        let mut rings = self.rings.clone();
        let mut here = start;
        while let Some((ring, corner)) = nearest_ring(&rings, here) {
            let mut corners = rings.swap_remove(ring).0;
            corners.pop();
            corners.rotate_left(corner);
            let first = corners[0];
            travel(self.ground, first, seam);
            seam.needle(first, StitchRole::Underlay);
            for &at in &corners[1..] {
                seam.bend(at, StitchRole::Underlay);
            }
            seam.bend(first, StitchRole::Underlay);
            seam.needle(first, StitchRole::Underlay);
            here = first;
        }
    }

    /// Sparse rows across the cover.
    fn sew_rows(&self, start: Coord<f64>, cover: Coord<f64>, onward: bool, seam: &mut Seam) {
        let Some(ground) = &self.across else {
            return;
        };
        let recipe = self.recipe;
        let clear = if recipe.spare_edges && !self.rings.is_empty() {
            CLEAR_OF_EDGE_RUN
        } else {
            0.0
        };
        let style = Style {
            longest: recipe.limits.underlay,
            longest_at_end: recipe.limits.underlay,
            shortest: recipe.limits.shortest.min(recipe.limits.underlay * 0.4),
            needle_points: NeedlePoints::Bricks,
            stagger: 2,
            reach: -recipe.underlay_inset - clear,
            slants: recipe.spare_edges,
            role: StitchRole::Underlay,
        };
        let (start, cover) = (ground.spot(start), ground.spot(cover));
        // Where it ends matters less than that it is short: the way on lies under the cover anyway.
        let toward = onward.then_some(cover);
        let walk = Walks::new(ground, ground.cell(start), toward).from(Some(start));
        lay::sew(ground, &walk, &style, Some(start), Some(cover), seam);
    }
}

/// Runs along each edge, a little inside.
fn rings(polygon: &Polygon<f64>, recipe: &Recipe) -> Vec<LineString<f64>> {
    // Small rounds turned inside out cross themselves over and over: their finer corners are not needed.
    let rough = offset::thinned(polygon.clone().into(), ROUGH);
    let inner = offset::grow(&rough, -recipe.underlay_inset);
    inner
        .into_iter()
        .flat_map(|polygon| {
            let (outer, holes) = polygon.into_inner();
            std::iter::once(outer).chain(holes)
        })
        .filter(|ring| length(ring) >= SHORTEST_RING)
        .collect()
}

/// The ring and the corner of it nearest to a place.
fn nearest_ring(rings: &[LineString<f64>], place: Coord<f64>) -> Option<(usize, usize)> {
    let corners = rings.iter().enumerate().flat_map(|(i, ring)| {
        let corners = ring.0.len() - 1;
        (0..corners).map(move |k| (i, k, distance(ring.0[k], place)))
    });
    corners
        .min_by(|a, b| a.2.total_cmp(&b.2))
        .map(|(ring, corner, _)| (ring, corner))
}

/// Notes the way from where the seam ends to `to`.
fn travel(ground: &Ground, to: Coord<f64>, seam: &mut Seam) {
    let Some(last) = seam.last() else {
        return;
    };
    let (from, to) = (ground.spot(last), ground.spot(to));
    let Some(way) = ground.way(from, to) else {
        return;
    };
    for at in route(ground, from, &way, to) {
        seam.bend(ground.frame.leave(at), StitchRole::Travel);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_sdk::geometry::geo::polygon;

    fn rectangle(width: f64, height: f64) -> Polygon<f64> {
        polygon![(x: 0., y: 0.), (x: width, y: 0.), (x: width, y: height), (x: 0., y: height)]
    }

    /// Common practice: none on tiny details, an edge run, and rows across on what is larger.
    #[test]
    fn the_underlay_follows_the_size() {
        let none = Layers {
            edge: false,
            rows: false,
        };
        let edge = Layers {
            edge: true,
            rows: false,
        };
        let both = Layers {
            edge: true,
            rows: true,
        };
        assert_eq!(Layers::for_size(&rectangle(2.0, 2.0)), none);
        assert_eq!(Layers::for_size(&rectangle(60.0, 1.0)), none);
        assert_eq!(Layers::for_size(&rectangle(5.0, 5.0)), edge);
        assert_eq!(Layers::for_size(&rectangle(60.0, 3.0)), edge);
        assert_eq!(Layers::for_size(&rectangle(20.0, 20.0)), both);
    }
}
