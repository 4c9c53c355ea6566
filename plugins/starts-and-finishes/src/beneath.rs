//! How long a way is that keeps beneath what is sewn later.
//!
//! That two places hang together beneath it does not say how far apart they are there: the way may have
//! to go round a hole, or all along an arm. Nor does it say that there is one: two pieces that hardly
//! touch leave no room.

use hoopwright_sdk::geometry::area::{FillRule, from_rings, intersection};
use hoopwright_sdk::geometry::geo::{BoundingRect, Intersects, MultiPolygon, Rect};
use hoopwright_sdk::geometry::inside_way::InsideWays;
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::geometry::offset;
use hoopwright_sdk::hiding;
use hoopwright_sdk::prelude::*;
use std::cell::OnceCell;

/// How far from an edge a thread must lie to be hidden, in mm: what the step `ties-and-trims` has.
const EDGE: f64 = 0.3;

/// How far a way may lie open at either end, in mm: what the step `ties-and-trims` has.
const OPEN_END: f64 = 1.3;

/// A way is first looked for among those that are no more than so much longer than the straight one:
/// nearly all are, and the area in which they lie is far smaller.
const DETOUR: f64 = 1.25;

/// What hides among the objects of a design, made ready when it is first asked for.
pub(crate) struct Beneath<'a> {
    objects: &'a [Object],
    covers: OnceCell<Vec<Cover>>,
}

struct Cover {
    object: usize,
    area: MultiPolygon<f64>,
    bounds: Rect<f64>,
}

impl<'a> Beneath<'a> {
    pub fn of(objects: &'a [Object]) -> Self {
        Self {
            objects,
            covers: OnceCell::new(),
        }
    }

    /// How long the shortest way from `a` to `b` is beneath the objects from the place `first` on, as
    /// far as their shapes tell; nothing where it would be longer than `longest` mm.
    pub fn length(&self, a: Coord<f64>, b: Coord<f64>, first: usize, longest: f64) -> Option<f64> {
        let nearly_straight = (DETOUR * distance(a, b) + 2.0 * OPEN_END).min(longest);
        let length = self.length_within(a, b, first, nearly_straight);
        if length.is_some() || nearly_straight == longest {
            return length;
        }
        self.length_within(a, b, first, longest)
    }

    fn length_within(
        &self,
        a: Coord<f64>,
        b: Coord<f64>,
        first: usize,
        longest: f64,
    ) -> Option<f64> {
        // A way of this length stays in an ellipse with its ends as foci.
        let slack = ((longest - distance(a, b)) / 2.0).max(OPEN_END);
        // What the window cuts off must not count as an edge.
        let window = widened(Rect::new(a, b), slack + 2.0 * EDGE);
        let later = self.covers().iter().filter(|cover| cover.object >= first);
        let near = later.filter(|cover| cover.bounds.intersects(&window));
        let rings = near
            .flat_map(|cover| intersection(&cover.area, &window.to_polygon().into()))
            .flat_map(|part| {
                let (outer, holes) = part.into_inner();
                std::iter::once(outer).chain(holes)
            });
        let together = from_rings(rings, FillRule::NonZero);
        let ways = InsideWays::new(&offset::grow(&together, -EDGE));
        let arrivals = ways.entries(b, OPEN_END);
        let mut least: Option<f64> = None;
        for from in ways.entries(a, OPEN_END) {
            for to in arrivals.iter().filter(|to| to.part == from.part) {
                let open = distance(a, from.at) + distance(to.at, b);
                let Some(way) = ways.shortest(from.at, to.at, longest - open) else {
                    continue;
                };
                let hidden: f64 = way.windows(2).map(|step| distance(step[0], step[1])).sum();
                let length = open + hidden;
                if length <= longest && least.is_none_or(|least| length < least) {
                    least = Some(length);
                }
            }
        }
        least
    }

    fn covers(&self) -> &[Cover] {
        self.covers.get_or_init(|| {
            let objects = self.objects.iter().enumerate();
            let will_hide = objects.filter(|(_, one)| hiding::will_hide(one));
            let covers = will_hide.filter_map(|(object, one)| {
                let area = hiding::area(one)?;
                let bounds = area.bounding_rect()?;
                Some(Cover {
                    object,
                    area,
                    bounds,
                })
            });
            covers.collect()
        })
    }
}

fn widened(bounds: Rect<f64>, by: f64) -> Rect<f64> {
    let out = Coord { x: by, y: by };
    Rect::new(bounds.min() - out, bounds.max() + out)
}
