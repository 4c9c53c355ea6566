//! The painted order: what lies over what, by the objects' places in the design.

use crate::cover::{Hiding, length_inside};
use crate::line::Line;
use geo::{BoundingRect, MultiPoint, MultiPolygon, Rect};
use geometry::boxes::Boxes;
use geometry::edge_grid::EdgeGrid;
use hoopwright_sdk::bounds::{Bounds as ObjectBounds, MeasuredBy};
use hoopwright_sdk::prelude::*;
use hoopwright_sdk::{THREAD_WIDTH, hiding};
use std::cell::OnceCell;
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

/// A line of which no longer stretch lies under another object counts as not covered by it, in
/// mm: lines that were cut beneath an object go on under it a little.
const TUCKED_IN: f64 = 0.5;

/// All that lies over something, and what of it hides that.
pub struct Painted<'a> {
    covers: Vec<Covering<'a>>,
    boxes: Boxes,
    hiding: BTreeMap<Vec<usize>, Rc<Hiding>>,
}

struct Covering<'a> {
    /// Its place in the design.
    object: usize,
    drawn: &'a Object,
    /// What it hides; nothing for thin lines and stitches placed by hand, which lie over what comes
    /// before them all the same.
    hides: Option<MultiPolygon<f64>>,
    alone: OnceCell<EdgeGrid>,
}

impl Covering<'_> {
    /// A rectangle that all of it lies in; nothing where it has no extent.
    fn bounds(&self) -> Option<Rect<f64>> {
        if let Some(area) = &self.hides {
            return area.bounding_rect();
        }
        let bounds = ObjectBounds::of(self.drawn, MeasuredBy::AsDrawn)?;
        // A line without width still has its thread's.
        let [x, y] = [bounds.across, bounds.down].map(|extent| extent.widened(THREAD_WIDTH / 2.0));
        Some(Rect::new((x.least, y.least), (x.greatest, y.greatest)))
    }
}

/// The bounds of places; nothing where there are none.
pub fn bounds<'a>(places: impl IntoIterator<Item = &'a Coord<f64>>) -> Option<Rect<f64>> {
    let places = places.into_iter().copied();
    places.collect::<MultiPoint<f64>>().bounding_rect()
}

impl<'a> Painted<'a> {
    /// What lies over what in `design`, all but the `thin` objects, of which only the edges are sewn.
    pub fn new(design: &'a Design, thin: &BTreeSet<usize>) -> Self {
        let objects = design.objects.iter().enumerate();
        let covers: Vec<Covering> = objects
            .filter(|(place, _)| !thin.contains(place))
            .map(|(object, drawn)| Covering {
                object,
                drawn,
                hides: hiding::area_to_hide(drawn, hiding::USUAL_LINE),
                alone: OnceCell::new(),
            })
            .collect();
        Self {
            boxes: Boxes::new(covers.iter().map(Covering::bounds).enumerate()),
            covers,
            hiding: BTreeMap::new(),
        }
    }

    /// Whether nothing hides anything.
    pub fn is_empty(&self) -> bool {
        self.covers.iter().all(|covering| covering.hides.is_none())
    }

    /// The place in the design of cover `i`.
    pub fn object(&self, i: usize) -> usize {
        self.covers[i].object
    }

    /// The covers sewn after the object in `place` that hide what lies near `bounds`, in sewing order.
    pub fn after(&self, place: usize, bounds: Option<Rect<f64>>) -> Vec<usize> {
        self.near(place, bounds, |covering| covering.hides.is_some())
    }

    /// Those covers sewn after the object in `place` that come near `bounds`, in sewing order.
    fn near(
        &self,
        place: usize,
        bounds: Option<Rect<f64>>,
        those: impl Fn(&Covering) -> bool,
    ) -> Vec<usize> {
        let near = bounds.map(|bounds| self.boxes.near(bounds, 0.0));
        let mut near = near.unwrap_or_default();
        near.retain(|&i| self.covers[i].object > place && those(&self.covers[i]));
        near
    }

    /// The first object after `line`'s, of another thread, that lies over more of it than what is
    /// tucked in: a fill, a line of any width, stitches placed by hand. Sewn after that one, the
    /// line would show where it should not.
    pub fn first_over(&self, line: &Line, thread: u32) -> Option<usize> {
        let corners = line.corners();
        let of_another = |covering: &Covering| covering.drawn.thread != thread;
        self.near(line.object, bounds(corners), of_another)
            .into_iter()
            .find(|&i| length_inside(self.alone(i), corners) > TUCKED_IN)
            .map(|i| self.covers[i].object)
    }

    /// Whether cover `i` lies over a place.
    pub fn is_over(&self, i: usize, place: Coord<f64>) -> bool {
        self.alone(i).contains(place)
    }

    fn alone(&self, i: usize) -> &EdgeGrid {
        let covering = &self.covers[i];
        covering.alone.get_or_init(|| match &covering.hides {
            Some(area) => EdgeGrid::new(area),
            None => EdgeGrid::new(&covering.drawn.footprint()),
        })
    }

    /// What the covers hide together.
    pub fn hiding(&mut self, covers: Vec<usize>) -> Rc<Hiding> {
        if let Some(known) = self.hiding.get(&covers) {
            return Rc::clone(known);
        }
        let areas = covers.iter().filter_map(|&i| self.covers[i].hides.as_ref());
        let hiding = Rc::new(Hiding::new(areas));
        self.hiding.insert(covers, Rc::clone(&hiding));
        hiding
    }
}
