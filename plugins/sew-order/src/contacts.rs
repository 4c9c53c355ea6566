//! Which pieces of a design touch, and what hangs together beneath the objects still to be sewn.
//!
//! Travel shows nowhere when it lies under what is sewn after it. So two objects need no trim
//! between them where both touch one connected piece of all that is sewn later, the second of the
//! two included.

use crate::footprint::Footprint;
use crate::outline::Outline;
use hoopwright_sdk::geometry::geo::{
    BoundingRect, Contains, MultiPolygon, Point as Place, Polygon,
};
use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

/// Pieces no farther apart than this touch, in mm: thread is 0.4 mm wide.
const TOUCH: f64 = 0.3;

/// The connected pieces of all objects.
pub(crate) struct Contacts {
    /// The pieces of each object.
    pub of_object: Vec<Vec<usize>>,
    /// The object of each piece.
    pub object: Vec<usize>,
    /// Whether travel can lie hidden beneath a piece.
    pub hides: Vec<bool>,
    /// The pieces that each one touches.
    pub touching: Vec<Vec<usize>>,
}

struct Piece<'a> {
    area: &'a Polygon<f64>,
    outline: Outline,
}

impl Contacts {
    /// The contacts of objects, given what they cover and which of them hide what lies beneath.
    pub fn of(footprints: &[Option<&Footprint>], hiding: &[bool]) -> Self {
        let mut pieces = Vec::new();
        let mut contacts = Self {
            of_object: vec![Vec::new(); footprints.len()],
            object: Vec::new(),
            hides: Vec::new(),
            touching: Vec::new(),
        };
        let mut boxes = Vec::new();
        for (object, footprint) in footprints.iter().enumerate() {
            for area in footprint.iter().flat_map(|footprint| footprint.area()) {
                let whole = MultiPolygon::new(vec![area.clone()]);
                let (Some(outline), Some(bounds)) =
                    (Outline::of_area(&whole), area.bounding_rect())
                else {
                    continue;
                };
                contacts.of_object[object].push(pieces.len());
                contacts.object.push(object);
                contacts.hides.push(hiding[object]);
                let corners = Rectangle::from_corners(bounds.min().into(), bounds.max().into());
                boxes.push(GeomWithData::<Rectangle<[f64; 2]>, usize>::new(
                    corners,
                    pieces.len(),
                ));
                pieces.push(Piece { area, outline });
            }
        }
        contacts.touching = vec![Vec::new(); pieces.len()];
        let tree = RTree::bulk_load(boxes.clone());
        for one in &boxes {
            let (least, greatest) = (one.geom().lower(), one.geom().upper());
            let around = AABB::from_corners(least.map(|e| e - TOUCH), greatest.map(|e| e + TOUCH));
            for other in tree.locate_in_envelope_intersecting(around) {
                if other.data > one.data && pieces[one.data].touches(&pieces[other.data]) {
                    contacts.touching[one.data].push(other.data);
                    contacts.touching[other.data].push(one.data);
                }
            }
        }
        contacts.touching.iter_mut().for_each(|t| t.sort_unstable());
        contacts
    }
}

impl Piece<'_> {
    fn touches(&self, other: &Self) -> bool {
        let corner = |piece: &Self| piece.area.exterior().0.first().copied().map(Place::from);
        self.outline.apart(&other.outline, 2.0 * TOUCH) <= TOUCH
            || corner(other).is_some_and(|corner| self.area.contains(&corner))
            || corner(self).is_some_and(|corner| other.area.contains(&corner))
    }
}

/// Sets of things that hang together; a thing can be added later.
#[derive(Clone, Debug)]
pub(crate) struct Hanging {
    above: Vec<usize>,
    counted: Vec<bool>,
}

impl Hanging {
    /// Of `count` things none counts yet.
    pub fn nothing(count: usize) -> Self {
        Self {
            above: (0..count).collect(),
            counted: vec![false; count],
        }
    }

    /// The thing counts from now on, and hangs together with those of `touching` that do.
    pub fn add(&mut self, thing: usize, touching: &[usize]) {
        self.counted[thing] = true;
        for &other in touching {
            if self.counted[other] {
                self.join(thing, other);
            }
        }
    }

    /// The number of what a thing hangs together with; nothing where it does not count.
    pub fn whole(&mut self, thing: usize) -> Option<usize> {
        self.counted[thing].then(|| self.root(thing))
    }

    /// Makes two things hang together.
    pub fn join(&mut self, one: usize, other: usize) {
        let (one, other) = (self.root(one), self.root(other));
        self.above[one.max(other)] = one.min(other);
    }

    /// How many sets the things of a range are in.
    pub fn roots(&mut self, things: std::ops::Range<usize>) -> usize {
        let mut roots: Vec<usize> = things.map(|thing| self.root(thing)).collect();
        roots.sort_unstable();
        roots.dedup();
        roots.len()
    }

    fn root(&mut self, mut thing: usize) -> usize {
        while self.above[thing] != thing {
            self.above[thing] = self.above[self.above[thing]];
            thing = self.above[thing];
        }
        thing
    }
}
