//! The painted order: what lies over what, by the objects' places in the design.

use crate::cover::{Cover, Hiding};
use crate::line::Line;
use geo::{BoundingRect, MultiPolygon, Rect};
use hoopwright_sdk::hiding;
use hoopwright_sdk::prelude::*;
use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};
use std::cell::OnceCell;
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

/// A line of which no longer stretch lies under another object counts as not covered by it, in
/// mm: lines that were cut beneath an object go on under it a little.
const TUCKED_IN: f64 = 0.5;

/// All that covers.
pub struct Painted {
    covers: Vec<Covering>,
    tree: RTree<GeomWithData<Rectangle<[f64; 2]>, usize>>,
    hiding: BTreeMap<Vec<usize>, Rc<Hiding>>,
}

struct Covering {
    /// Its place in the design.
    object: usize,
    thread: u32,
    area: MultiPolygon<f64>,
    alone: OnceCell<Cover>,
}

/// An upright rectangle: least x and y, then greatest.
pub type Bounds = [[f64; 2]; 2];

/// The bounds of places; those of none lie nowhere.
pub fn bounds<'a>(places: impl IntoIterator<Item = &'a Coord<f64>>) -> Bounds {
    let nowhere = [[f64::INFINITY; 2], [f64::NEG_INFINITY; 2]];
    places.into_iter().fold(nowhere, |[least, greatest], at| {
        [
            [least[0].min(at.x), least[1].min(at.y)],
            [greatest[0].max(at.x), greatest[1].max(at.y)],
        ]
    })
}

impl Painted {
    /// What covers in `design`, all but the `thin` objects, of which only the edges are sewn.
    pub fn new(design: &Design, thin: &BTreeSet<usize>) -> Self {
        let objects = design.objects.iter().enumerate();
        let covers: Vec<Covering> = objects
            .filter(|(place, _)| !thin.contains(place))
            .filter_map(|(object, drawn)| {
                Some(Covering {
                    object,
                    thread: drawn.thread,
                    area: hiding::area(drawn)?,
                    alone: OnceCell::new(),
                })
            })
            .collect();
        let boxes = covers.iter().enumerate().filter_map(|(i, covering)| {
            let bounds: Rect<f64> = covering.area.bounding_rect()?;
            let (a, b) = (bounds.min(), bounds.max());
            let bounds = Rectangle::from_corners([a.x, a.y], [b.x, b.y]);
            Some(GeomWithData::new(bounds, i))
        });
        Self {
            tree: RTree::bulk_load(boxes.collect()),
            covers,
            hiding: BTreeMap::new(),
        }
    }

    /// Whether nothing covers anything.
    pub fn is_empty(&self) -> bool {
        self.covers.is_empty()
    }

    /// The place in the design of cover `i`.
    pub fn object(&self, i: usize) -> usize {
        self.covers[i].object
    }

    /// The covers sewn after the object in `place` that come near `bounds`, in sewing order.
    pub fn after(&self, place: usize, [least, greatest]: Bounds) -> Vec<usize> {
        if !(least[0] <= greatest[0] && least[1] <= greatest[1]) {
            return Vec::new();
        }
        let near = AABB::from_corners(least, greatest);
        let near = self.tree.locate_in_envelope_intersecting(near);
        let near = near.map(|covering| covering.data);
        let mut near: Vec<usize> = near.filter(|&i| self.covers[i].object > place).collect();
        near.sort_unstable();
        near
    }

    /// The first object after `line`'s, of another thread, that covers more of it than what is
    /// tucked in. Sewn after that one, the line would show where it should not.
    pub fn first_over(&self, line: &Line, thread: u32) -> Option<usize> {
        let corners = line.corners();
        self.after(line.object, bounds(corners))
            .into_iter()
            .filter(|&i| self.covers[i].thread != thread)
            .find(|&i| self.alone(i).length_inside(corners) > TUCKED_IN)
            .map(|i| self.covers[i].object)
    }

    /// Whether cover `i` lies over a place.
    pub fn is_over(&self, i: usize, place: Coord<f64>) -> bool {
        self.alone(i).contains(place)
    }

    fn alone(&self, i: usize) -> &Cover {
        let covering = &self.covers[i];
        covering.alone.get_or_init(|| Cover::new(&covering.area))
    }

    /// What the covers hide together.
    pub fn hiding(&mut self, covers: Vec<usize>) -> Rc<Hiding> {
        if let Some(known) = self.hiding.get(&covers) {
            return Rc::clone(known);
        }
        let areas = covers.iter().map(|&i| &self.covers[i].area);
        let hiding = Rc::new(Hiding::new(areas));
        self.hiding.insert(covers, Rc::clone(&hiding));
        hiding
    }
}
