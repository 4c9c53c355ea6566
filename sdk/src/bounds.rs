//! The rectangle that an object takes up on the cloth: as drawn, or as its thread lies.

use crate::{Object, Polyline, Shape, StitchBlock, StitchKind, THREAD_WIDTH, choices, stitches_of};
use geo::Coord;

choices! {
    /// Where an object's edges are.
    pub enum MeasuredBy {
        /// Where the thread lies once it is sewn: half a thread, 0.2 mm, beyond the outermost
        /// needle points. An object without stitches is measured as drawn.
        #[default]
        AsSewn,
        /// Where the drawn shape ends; a line reaches half its stroke width to either side. An
        /// object without a shape is measured as sewn.
        AsDrawn,
    }
}

/// An interval along one axis, in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extent {
    /// The left or upper end.
    pub least: f64,
    /// The right or lower end.
    pub greatest: f64,
}

impl Extent {
    /// How long it is, in mm.
    pub fn length(self) -> f64 {
        self.greatest - self.least
    }

    /// Halfway between its ends.
    pub fn centre(self) -> f64 {
        (self.least + self.greatest) / 2.0
    }

    /// From the lesser to the greater end of both.
    #[must_use]
    pub fn with(self, other: Self) -> Self {
        Self {
            least: self.least.min(other.least),
            greatest: self.greatest.max(other.greatest),
        }
    }

    /// With both ends farther out by `by` mm.
    #[must_use]
    pub fn widened(self, by: f64) -> Self {
        Self {
            least: self.least - by,
            greatest: self.greatest + by,
        }
    }

    /// Shifted by `by` mm.
    #[must_use]
    pub fn moved(self, by: f64) -> Self {
        Self {
            least: self.least + by,
            greatest: self.greatest + by,
        }
    }
}

/// An upright rectangle, as its extent along each axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bounds {
    /// From left to right.
    pub across: Extent,
    /// From top to bottom.
    pub down: Extent,
}

impl Bounds {
    /// Its area in mm².
    pub fn area(&self) -> f64 {
        self.across.length() * self.down.length()
    }

    /// Its middle.
    pub fn centre(&self) -> Coord<f64> {
        Coord {
            x: self.across.centre(),
            y: self.down.centre(),
        }
    }

    /// The bounds of everything in `all`.
    pub fn around(all: impl IntoIterator<Item = Self>) -> Option<Self> {
        all.into_iter().reduce(|a, b| Self {
            across: a.across.with(b.across),
            down: a.down.with(b.down),
        })
    }

    /// The bounds of `object`; nothing where it has neither a shape nor needle points.
    pub fn of(object: &Object, by: MeasuredBy) -> Option<Self> {
        match by {
            MeasuredBy::AsSewn => Self::as_sewn(object).or_else(|| Self::as_drawn(object)),
            MeasuredBy::AsDrawn => Self::as_drawn(object).or_else(|| Self::as_sewn(object)),
        }
    }

    /// The bounds of an object's shape, stroke width included. Nothing where it has none.
    pub fn as_drawn(object: &Object) -> Option<Self> {
        match &object.shape {
            Shape::Region(region) => {
                let edges = region.polygons.iter().map(|polygon| &polygon.outer);
                Self::around_places(edges.flat_map(Polyline::corners))
            }
            Shape::Lines(lines) => {
                let corners = lines.paths.iter().flat_map(Polyline::corners);
                // A width that is not a positive number reaches nowhere.
                let reach = (lines.width / 2.0).max(0.0);
                Self::around_places(corners).map(|bounds| bounds.widened(reach))
            }
            Shape::Manual => None,
        }
    }

    /// The bounds of an object's thread. Nothing where the needle never goes down.
    pub fn as_sewn(object: &Object) -> Option<Self> {
        Self::of_stitches(&object.stitches)
    }

    /// The bounds of the thread that `blocks` lay.
    pub fn of_stitches(blocks: &[StitchBlock]) -> Option<Self> {
        let sewn = stitches_of(blocks).filter(|stitch| stitch.kind == StitchKind::Needle);
        let needle_points = Self::around_places(sewn.map(|stitch| stitch.at))?;
        Some(needle_points.widened(THREAD_WIDTH / 2.0))
    }

    fn widened(self, by: f64) -> Self {
        Self {
            across: self.across.widened(by),
            down: self.down.widened(by),
        }
    }

    /// The bounds of `places`; those that are not finite do not count.
    pub(crate) fn around_places(places: impl IntoIterator<Item = Coord<f64>>) -> Option<Self> {
        let finite = |c: &Coord<f64>| c.x.is_finite() && c.y.is_finite();
        let point = |at| Extent {
            least: at,
            greatest: at,
        };
        Self::around(places.into_iter().filter(finite).map(|c| Self {
            across: point(c.x),
            down: point(c.y),
        }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{StitchList, StitchRole};
    use geo::{line_string, polygon};

    #[test]
    fn a_line_reaches_half_its_width_to_each_side() {
        let line = Object::of_line("l", &line_string![(x: 1., y: 2.), (x: 11., y: 2.)], 3.0);
        for by in [MeasuredBy::AsSewn, MeasuredBy::AsDrawn] {
            let bounds = Bounds::of(&line, by).expect("it has a line");
            assert_eq!((bounds.across.least, bounds.across.greatest), (-0.5, 12.5));
            assert_eq!((bounds.down.least, bounds.down.greatest), (0.5, 3.5));
        }
    }

    #[test]
    fn a_region_is_as_large_as_its_outer_edges() {
        let area = polygon![(x: 1., y: 2.), (x: 4., y: 2.), (x: 4., y: 9.)];
        let region = Object::of_region("r", &area.into());
        let bounds = Bounds::as_drawn(&region).expect("it has an area");
        assert_eq!((bounds.across.length(), bounds.down.length()), (3.0, 7.0));
    }

    #[test]
    fn thread_reaches_half_its_width_beyond_the_needle_points() {
        let line = line_string![(x: 1., y: 2.), (x: 11., y: 2.)];
        let mut object = Object::of_line("l", &line, 3.0);
        let mut stitches = StitchList::new();
        stitches.jump(Coord { x: -50., y: 0. });
        stitches.needle(StitchRole::Cover, Coord { x: 1., y: 1. });
        stitches.needle(StitchRole::Cover, Coord { x: 3., y: 5. });
        object.stitches = stitches.into_blocks();
        let bounds = Bounds::of(&object, MeasuredBy::AsSewn).expect("it has stitches");
        assert_eq!((bounds.across.least, bounds.down.greatest), (0.8, 5.2));
        let bounds = Bounds::of(&object, MeasuredBy::AsDrawn).expect("it has a shape");
        assert_eq!(bounds.across.least, -0.5);
        object.shape = Shape::Manual;
        let bounds = Bounds::of(&object, MeasuredBy::AsDrawn).expect("it has stitches");
        assert_eq!(bounds.across.least, 0.8);
    }

    #[test]
    fn what_has_no_finite_place_has_no_bounds() {
        let line = line_string![(x: f64::NAN, y: 2.), (x: 11., y: f64::INFINITY)];
        let line = Object::of_line("l", &line, 1.0);
        assert_eq!(Bounds::of(&line, MeasuredBy::AsSewn), None);
        let nothing = Object::new("m", Shape::Manual);
        assert_eq!(Bounds::of(&nothing, MeasuredBy::AsDrawn), None);
    }
}
