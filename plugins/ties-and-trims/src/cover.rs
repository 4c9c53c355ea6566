//! Ways beneath objects that are sewn later.

use hoopwright_sdk::geometry::area::{CORNER_MERGE, FillRule, from_rings, intersection};
use hoopwright_sdk::geometry::edge_grid::EdgeGrid;
use hoopwright_sdk::geometry::geo::{BoundingRect, Contains, Intersects, MultiPolygon, Rect};
use hoopwright_sdk::geometry::inside_way::InsideWays;
use hoopwright_sdk::geometry::{measure, offset};
use hoopwright_sdk::hiding;
use hoopwright_sdk::prelude::*;
use std::cell::OnceCell;
use std::collections::BTreeSet;

/// How far from an edge a thread must lie to be hidden, in mm: about half the width of the thread,
/// and a little for the cloth's give.
const EDGE: f64 = 0.3;

/// How far a way may lie open at either end, in mm: from the edge where the stitches of an object
/// end to where the thread is hidden. A loose thread shows from about 3 mm (trade practice).
const OPEN_END: f64 = 1.3;

/// A way is first looked for among those that are no more than so much longer than the straight one: nearly
/// all are, and the area in which they lie is far smaller.
const DETOUR: f64 = 1.25;

/// What hides what is sewn before it.
pub(crate) struct Covers {
    /// One an object; nothing for an object that hides nothing.
    covers: Vec<Option<Cover>>,
}

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

impl Covers {
    /// What hides among `objects`: regions and wide lines that cover stitches lie over.
    pub fn of(objects: &[Object]) -> Self {
        let covers = objects.iter().map(|object| {
            let area = hiding::hidden_area(object)?;
            let bounds = area.bounding_rect()?;
            Some(Cover {
                area,
                bounds,
                edges: OnceCell::new(),
                touching: OnceCell::new(),
            })
        });
        Self {
            covers: covers.collect(),
        }
    }

    /// The shortest way from `a` to `b` beneath the objects from the place `first_later` on, of at
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
        // A way of this length stays in an ellipse with its ends as foci.
        let slack = ((longest - measure::distance(a, b)) / 2.0).max(OPEN_END);
        let around = widened(Rect::new(a, b), slack);
        let later = self.covers.iter().enumerate().skip(first_later);
        let near: Vec<(usize, &Cover)> = later
            .filter_map(|(place, cover)| Some((place, cover.as_ref()?)))
            .filter(|(_, cover)| cover.bounds.intersects(&around))
            .collect();
        let near = self.between(a, b, &near);
        if near.is_empty() {
            return None;
        }
        let ways = self.beneath(&near, around);
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
                let steps = way.windows(2);
                let length: f64 = steps.map(|step| measure::distance(step[0], step[1])).sum();
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
            let around = widened(cover.bounds, CORNER_MERGE);
            let others = self.covers.iter().enumerate();
            let touching = others.filter(|&(other, one)| {
                other != place
                    && one.as_ref().is_some_and(|one| {
                        one.bounds.intersects(&around)
                            && one.edges().meets(cover.edges(), CORNER_MERGE)
                    })
            });
            touching.map(|(other, _)| other).collect()
        })
    }

    /// The ways beneath the covers at these places together, as far as they lie `around`.
    fn beneath(&self, places: &[usize], around: Rect<f64>) -> InsideWays {
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

fn widened(bounds: Rect<f64>, by: f64) -> Rect<f64> {
    let out = Coord { x: by, y: by };
    Rect::new(bounds.min() - out, bounds.max() + out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_sdk::geometry::geo::polygon;

    fn sewn_box(x: f64, width: f64) -> Object {
        let area =
            polygon![(x: x, y: 0.), (x: x + width, y: 0.), (x: x + width, y: 10.), (x: x, y: 10.)];
        let mut object = Object::of_region("box", &area.into());
        object.stitches = rows(x, width, 10.0, 0.4);
        object
    }

    /// Rows from `x` on that lie so far `apart`.
    fn rows(x: f64, width: f64, height: f64, apart: f64) -> Vec<StitchBlock> {
        let mut stitches = StitchList::new();
        for row in 0..=(height / apart) as u32 {
            let y = f64::from(row) * apart;
            stitches.needle(StitchRole::Cover, at(x, y));
            stitches.needle(StitchRole::Cover, at(x + width, y));
        }
        stitches.into_blocks()
    }

    fn at(x: f64, y: f64) -> Coord<f64> {
        Coord { x, y }
    }

    #[test]
    fn only_later_cover_hides() {
        let objects = [sewn_box(0., 20.), sewn_box(0., 20.)];
        let covers = Covers::of(&objects);
        assert!(covers.way(at(1., 5.), at(19., 5.), 0, 60.0).is_some());
        assert!(covers.way(at(1., 5.), at(19., 5.), 1, 60.0).is_some());
        assert_eq!(covers.way(at(1., 5.), at(19., 5.), 2, 60.0), None);
    }

    #[test]
    fn a_gap_between_two_covers_shows() {
        let (near, far) = (sewn_box(0., 10.), sewn_box(11.5, 10.));
        let bridge = sewn_box(9., 4.);
        assert!(
            Covers::of(&[near.clone(), far.clone()])
                .way(at(1., 5.), at(20., 5.), 0, 60.0)
                .is_none()
        );
        assert!(
            Covers::of(&[near, far, bridge])
                .way(at(1., 5.), at(20., 5.), 0, 60.0)
                .is_some()
        );
    }

    #[test]
    fn a_region_hides_a_way_bent_in_from_its_edge_and_without_cover_stitches_nothing() {
        let mut bare = sewn_box(0., 20.);
        let along_edge =
            |objects: &[Object]| Covers::of(objects).way(at(1., 0.1), at(19., 0.1), 0, 60.0);
        let way = along_edge(std::slice::from_ref(&bare)).expect("it is hidden");
        assert_eq!(way.len(), 4);
        assert!((way[1].y - EDGE).abs() < 1e-6 && (way[2].y - EDGE).abs() < 1e-6);
        bare.stitches.clear();
        assert_eq!(along_edge(&[bare]), None);
    }

    /// Around the hole of a ring: two tangents and an arc of the hole grown by the inset.
    #[test]
    fn a_way_bends_around_what_is_not_covered() {
        let ring = polygon!(
            exterior: [(x: 0., y: 0.), (x: 30., y: 0.), (x: 30., y: 30.), (x: 0., y: 30.)],
            interiors: [[(x: 10., y: 10.), (x: 20., y: 10.), (x: 20., y: 20.), (x: 10., y: 20.)]],
        );
        let mut object = Object::of_region("ring", &ring.into());
        object.stitches = rows(0., 30., 30., 0.4);
        let covers = Covers::of(&[object]);
        let way = covers
            .way(at(5., 12.), at(25., 12.), 0, 60.0)
            .expect("around");
        let length: f64 = way.windows(2).map(|s| measure::distance(s[0], s[1])).sum();
        // Longer than over the very corners of the hole, 10 + 2 sqrt(5² + 2²), and shorter than over
        // the corners of a square 0.3 mm larger: 10.6 + 2 sqrt(4.7² + 2.3²).
        assert!(length > 20.770 && length < 21.065, "{length}");
        assert!(
            way.iter()
                .all(|p| p.y <= 12.0 && (p.y < 9.8 || p.x < 9.8 || p.x > 20.2))
        );
        assert_eq!(covers.way(at(5., 12.), at(25., 12.), 0, 21.0), None);
    }

    #[test]
    fn an_open_fill_and_a_run_along_the_edge_hide_nothing() {
        let mut object = sewn_box(0., 20.);
        for (apart, hides) in [(0.3, true), (1.5, false), (10.0, false)] {
            object.stitches = rows(0., 20., 10., apart);
            let way = Covers::of(&[object.clone()]).way(at(1., 5.), at(19., 5.), 0, 60.0);
            assert_eq!(way.is_some(), hides, "{apart}");
        }
    }

    #[test]
    fn satin_lines_hide_and_a_run_along_the_middle_does_not() {
        use hoopwright_sdk::geometry::geo::line_string;
        let line = line_string![(x: 0., y: 0.), (x: 20., y: 0.)];
        for (density, hides) in [(0.4, true), (4.0, false)] {
            let mut object = Object::of_line("column", &line, 3.0);
            let mut stitches = StitchList::new();
            let mut x = 0.0;
            while x < 20.0 {
                stitches.needle(StitchRole::Cover, at(x, -1.5));
                stitches.needle(StitchRole::Cover, at(x + density / 2.0, 1.5));
                x += density;
            }
            object.stitches = stitches.into_blocks();
            let way = Covers::of(&[object]).way(at(1., 0.), at(19., 0.), 0, 60.0);
            assert_eq!(way.is_some(), hides);
        }
    }
}
