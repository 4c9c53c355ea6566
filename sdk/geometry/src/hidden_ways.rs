//! The way of a thread beneath what is sewn later.
//!
//! That two places hang together beneath it does not say how far apart they are there: the way may have
//! to go round a hole, or all along an arm. Nor does it say that there is one: two covers that hardly
//! touch leave no room.

use crate::area::{CORNER_MERGE, FillRule, from_rings, intersection};
use crate::boxes::Boxes;
use crate::edge_grid::EdgeGrid;
use crate::inside_way::InsideWays;
use crate::{measure, offset};
use geo::{BoundingRect, Contains, Coord, Intersects, MultiPolygon, Rect};
use std::cell::OnceCell;
use std::collections::BTreeSet;

/// How far from an edge a thread must lie to be hidden, in mm: about half the width of the thread,
/// and a little for the cloth's give.
pub const EDGE: f64 = 0.3;

/// How far a way may lie open at either end, in mm: from the edge where the stitches of an object
/// end to where the thread is hidden. A loose thread shows from about 3 mm (trade practice).
const OPEN_END: f64 = 1.3;

/// A way is first looked for among those that are no more than so much longer than the straight one: nearly
/// all are, and the area in which they lie is far smaller.
const DETOUR: f64 = 1.1;

/// Areas that hide what is sewn before them, in the order in which they are sewn.
#[derive(Debug)]
pub struct HiddenWays {
    covers: Vec<Option<Cover>>,
    boxes: Boxes,
}

#[derive(Debug)]
struct Cover {
    area: MultiPolygon<f64>,
    bounds: Rect<f64>,
    /// Its edges, and the covers that it touches, once they are asked for.
    edges: OnceCell<EdgeGrid>,
    touching: OnceCell<Vec<usize>>,
}

impl Cover {
    fn edges(&self) -> &EdgeGrid {
        self.edges.get_or_init(|| EdgeGrid::new(&self.area))
    }

    /// What of its area lies in `window`.
    fn within(&self, window: Rect<f64>) -> MultiPolygon<f64> {
        if window.contains(&self.bounds) {
            return self.area.clone();
        }
        intersection(&self.area, &window.to_polygon().into())
    }

    /// Whether a way that begins or ends at `place` can lie beneath it.
    fn is_near(&self, place: Coord<f64>) -> bool {
        widened(self.bounds, OPEN_END).intersects(&place) && self.edges().reaches(place, OPEN_END)
    }
}

impl HiddenWays {
    /// Beneath these clean areas, one for each object of a design; nothing for an object that hides nothing.
    pub fn beneath(covers: impl IntoIterator<Item = Option<MultiPolygon<f64>>>) -> Self {
        let covers = covers.into_iter().map(|area| {
            let area = area?;
            Some(Cover {
                bounds: area.bounding_rect()?,
                area,
                edges: OnceCell::new(),
                touching: OnceCell::new(),
            })
        });
        let covers: Vec<Option<Cover>> = covers.collect();
        let bounds = covers.iter().map(|cover| Some(cover.as_ref()?.bounds));
        Self {
            boxes: Boxes::new(bounds.enumerate()),
            covers,
        }
    }

    /// The shortest way from `a` to `b` beneath the areas from the place `first_later` on, of at
    /// most `longest` mm, both ends included. At its two ends it may lie open for up to 1.3 mm.
    pub fn way(
        &self,
        a: Coord<f64>,
        b: Coord<f64>,
        first_later: usize,
        longest: f64,
    ) -> Option<Vec<Coord<f64>>> {
        let straight = measure::distance(a, b);
        let in_reach = straight <= longest;
        if !in_reach {
            return None;
        }
        let nearly_straight = (DETOUR * straight + 2.0 * OPEN_END).min(longest);
        let way = self.way_within(a, b, first_later, nearly_straight);
        if way.is_some() || nearly_straight == longest {
            return way;
        }
        self.way_within(a, b, first_later, longest)
    }

    /// The same, looked for in all that a way of at most `longest` mm can reach.
    fn way_within(
        &self,
        a: Coord<f64>,
        b: Coord<f64>,
        first_later: usize,
        longest: f64,
    ) -> Option<Vec<Coord<f64>>> {
        let around = reach(a, b, longest);
        let near = self.boxes.near(around, 0.0).into_iter();
        let later = near.filter(|&place| place >= first_later);
        let near: Vec<(usize, &Cover)> = later
            .filter_map(|place| Some((place, self.covers[place].as_ref()?)))
            .collect();
        let near = self.between(a, b, &near);
        if near.is_empty() {
            return None;
        }
        let ways = self.ready(&near, around);
        let mut best: Option<(f64, Vec<Coord<f64>>)> = None;
        for from in ways.entries(a, OPEN_END) {
            for to in ways.entries(b, OPEN_END) {
                if from.part != to.part {
                    continue;
                }
                let Some(mut way) = ways.shortest(from.at, to.at, longest) else {
                    continue;
                };
                way.insert(0, a);
                way.push(b);
                way.dedup();
                let length = measure::way_length(&way);
                if length <= longest && best.as_ref().is_none_or(|(least, _)| length < *least) {
                    best = Some((length, way));
                }
            }
        }
        best.map(|(_, way)| way)
    }

    /// Those of the covers `near`, in order, that hang together with one at `a` and with one at `b`: to
    /// make them ready for ways takes far longer than to see that there is none.
    fn between(&self, a: Coord<f64>, b: Coord<f64>, near: &[(usize, &Cover)]) -> Vec<usize> {
        let at = |end: Coord<f64>| {
            let at_end = near.iter().filter(|(_, cover)| cover.is_near(end));
            at_end.map(|&(place, _)| place).collect::<Vec<usize>>()
        };
        let from = at(a);
        let to = if from.is_empty() { Vec::new() } else { at(b) };
        let mut unseen: BTreeSet<usize> = near.iter().map(|&(place, _)| place).collect();
        let mut between = Vec::new();
        for start in from {
            let mut together: Vec<usize> = unseen.take(&start).into_iter().collect();
            let mut next = 0;
            while let Some(&place) = together.get(next) {
                next += 1;
                let touching = self.touching(place).iter();
                together.extend(touching.filter_map(|other| unseen.take(other)));
            }
            if to.iter().any(|end| together.contains(end)) {
                between.extend(together);
            }
        }
        between.sort_unstable();
        between
    }

    /// The covers that touch the one at `place`.
    fn touching(&self, place: usize) -> &[usize] {
        let Some(cover) = &self.covers[place] else {
            return &[];
        };
        cover.touching.get_or_init(|| {
            let mut touching = self.boxes.near(cover.bounds, CORNER_MERGE);
            touching.retain(|&other| {
                other != place
                    && self.covers[other]
                        .as_ref()
                        .is_some_and(|one| one.edges().meets(cover.edges(), CORNER_MERGE))
            });
            touching
        })
    }

    /// The ways beneath the covers at these places together, as far as they lie `around`.
    fn ready(&self, places: &[usize], around: Rect<f64>) -> InsideWays {
        // What the window cuts off must not count as an edge.
        let window = widened(around, 2.0 * EDGE);
        let covers = places
            .iter()
            .filter_map(|&place| self.covers[place].as_ref());
        let rings = covers
            .flat_map(|cover| cover.within(window))
            .flat_map(|part| {
                let (outer, holes) = part.into_inner();
                std::iter::once(outer).chain(holes)
            });
        let all = from_rings(rings, FillRule::NonZero);
        InsideWays::new(&offset::grow(&all, -EDGE))
    }
}

/// The upright rectangle around all ways from `a` to `b` of at most `longest` mm, open ends included: such
/// ways stay in an ellipse with its ends as foci, which is wider across than it goes on beyond them.
fn reach(a: Coord<f64>, b: Coord<f64>, longest: f64) -> Rect<f64> {
    let straight = measure::distance(a, b);
    let along = (longest / 2.0).max(straight / 2.0);
    let across_squared = (along * along - straight * straight / 4.0).max(0.0);
    let share = |side: f64| {
        if straight > 0.0 {
            (side / straight).powi(2)
        } else {
            1.0
        }
    };
    let half = |side: f64| {
        let of_the_ellipse = across_squared + share(side) * (along * along - across_squared);
        of_the_ellipse.sqrt().max(side.abs() / 2.0 + OPEN_END)
    };
    let out = Coord {
        x: half(b.x - a.x),
        y: half(b.y - a.y),
    };
    let middle = (a + b) / 2.0;
    Rect::new(middle - out, middle + out)
}

fn widened(bounds: Rect<f64>, by: f64) -> Rect<f64> {
    let out = Coord { x: by, y: by };
    Rect::new(bounds.min() - out, bounds.max() + out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::polygon;

    /// Round a bar of 2 x 22 mm that stands between, the thread keeps 0.3 mm from it: the straight parts by
    /// Pythagoras, worked out by hand.
    #[test]
    fn a_way_round_a_tall_bar_is_found_as_soon_as_it_is_long_enough() {
        let slab = polygon!(
            exterior: [(x: 0., y: 0.), (x: 20., y: 0.), (x: 20., y: 30.), (x: 0., y: 30.)],
            interiors: [[(x: 9., y: 4.), (x: 9., y: 26.), (x: 11., y: 26.), (x: 11., y: 4.)]],
        );
        let ways = HiddenWays::beneath([Some(MultiPolygon::from(slab))]);
        let (a, b) = (Coord { x: 2., y: 15. }, Coord { x: 18., y: 15. });
        let by_hand = 2.0 * f64::hypot(6.7, 11.3) + 2.6;
        assert!(ways.way(a, b, 0, by_hand - 0.3).is_none());
        let way = ways.way(a, b, 0, by_hand + 0.3).expect("long enough");
        assert!((measure::way_length(&way) - by_hand).abs() < 0.3);
    }

    #[test]
    fn what_a_way_can_reach_is_the_rectangle_around_an_ellipse() {
        // Foci 6 apart, major axis 10: minor axis 8.
        let level = reach(Coord { x: -3., y: 0. }, Coord { x: 3., y: 0. }, 10.0);
        assert_eq!((level.width(), level.height()), (10.0, 8.0));
        let upright = reach(Coord { x: 0., y: -3. }, Coord { x: 0., y: 3. }, 10.0);
        assert_eq!((upright.width(), upright.height()), (8.0, 10.0));
        let round = reach(Coord { x: 1., y: 1. }, Coord { x: 1., y: 1. }, 10.0);
        assert_eq!((round.width(), round.height()), (10.0, 10.0));
    }
}
