//! The rectangle that an object takes up on the cloth.

use hoopwright_sdk::prelude::*;

/// An interval along one axis, in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Extent {
    pub least: f64,
    pub greatest: f64,
}

impl Extent {
    pub fn length(self) -> f64 {
        self.greatest - self.least
    }

    pub fn centre(self) -> f64 {
        (self.least + self.greatest) / 2.0
    }

    fn with(self, other: Self) -> Self {
        Self {
            least: self.least.min(other.least),
            greatest: self.greatest.max(other.greatest),
        }
    }

    fn widened(self, by: f64) -> Self {
        Self {
            least: self.least - by,
            greatest: self.greatest + by,
        }
    }
}

/// An upright rectangle, as its extent along each axis.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Bounds {
    pub across: Extent,
    pub down: Extent,
}

impl Bounds {
    pub fn area(&self) -> f64 {
        self.across.length() * self.down.length()
    }

    /// The bounds of everything in `all`.
    pub fn around(all: impl IntoIterator<Item = Self>) -> Option<Self> {
        all.into_iter().reduce(|a, b| Self {
            across: a.across.with(b.across),
            down: a.down.with(b.down),
        })
    }

    fn around_places(places: impl IntoIterator<Item = Coord<f64>>) -> Option<Self> {
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

/// The bounds of an object's shape, stroke width included; those of its needle points where it
/// has no shape. Nothing where it has neither.
pub(crate) fn of(object: &Object) -> Option<Bounds> {
    of_shape(&object.shape).or_else(|| of_stitches(&object.stitches))
}

fn of_shape(shape: &Shape) -> Option<Bounds> {
    match shape {
        Shape::Region(region) => {
            let edges = region.polygons.iter().map(|polygon| &polygon.outer);
            Bounds::around_places(edges.flat_map(Polyline::corners))
        }
        Shape::Lines(lines) => {
            let corners = lines.paths.iter().flat_map(Polyline::corners);
            // A width that is not a positive number reaches nowhere.
            let reach = (lines.width / 2.0).max(0.0);
            Bounds::around_places(corners).map(|bounds| Bounds {
                across: bounds.across.widened(reach),
                down: bounds.down.widened(reach),
            })
        }
        Shape::Manual => None,
    }
}

fn of_stitches(blocks: &[StitchBlock]) -> Option<Bounds> {
    let sewn = stitches_of(blocks).filter(|stitch| stitch.kind == StitchKind::Needle);
    Bounds::around_places(sewn.map(|stitch| stitch.at))
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_sdk::geometry::geo::{line_string, polygon};

    #[test]
    fn a_line_reaches_half_its_width_to_each_side() {
        let line = Object::of_line("l", &line_string![(x: 1., y: 2.), (x: 11., y: 2.)], 3.0);
        let bounds = of(&line).expect("it has a line");
        assert_eq!((bounds.across.least, bounds.across.greatest), (-0.5, 12.5));
        assert_eq!((bounds.down.least, bounds.down.greatest), (0.5, 3.5));
    }

    #[test]
    fn a_region_is_as_large_as_its_outer_edges() {
        let region = Object::of_region(
            "r",
            &polygon![(x: 1., y: 2.), (x: 4., y: 2.), (x: 4., y: 9.)].into(),
        );
        let bounds = of(&region).expect("it has an area");
        assert_eq!((bounds.across.length(), bounds.down.length()), (3.0, 7.0));
    }

    #[test]
    fn stitches_alone_count_by_their_needle_points() {
        let mut object = Object::new("m", Shape::Manual);
        let mut stitches = StitchList::new();
        stitches.jump(Coord { x: -50., y: 0. });
        stitches.needle(StitchRole::Cover, Coord { x: 1., y: 1. });
        stitches.needle(StitchRole::Cover, Coord { x: 3., y: 5. });
        object.stitches = stitches.into_blocks();
        let bounds = of(&object).expect("it has stitches");
        assert_eq!((bounds.across.least, bounds.down.greatest), (1.0, 5.0));
    }

    #[test]
    fn what_has_no_finite_place_has_no_bounds() {
        let line = line_string![(x: f64::NAN, y: 2.), (x: 11., y: f64::INFINITY)];
        assert_eq!(of(&Object::of_line("l", &line, 1.0)), None);
        assert_eq!(of(&Object::new("m", Shape::Manual)), None);
    }
}
