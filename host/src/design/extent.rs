//! How far things reach, and how much there is of them.

use super::{Design, Lines, Object, Shape, Stitch, StitchKind, stitches_of};
use geo::{Coord, Rect};

/// The smallest rectangle around `places`, or nothing where there are none.
pub fn bounds(places: impl IntoIterator<Item = Coord<f64>>) -> Option<Rect<f64>> {
    let mut places = places.into_iter();
    let first = places.next()?;
    let (least, greatest) = places.fold((first, first), |(least, greatest), place| {
        (
            Coord {
                x: least.x.min(place.x),
                y: least.y.min(place.y),
            },
            Coord {
                x: greatest.x.max(place.x),
                y: greatest.y.max(place.y),
            },
        )
    });
    Some(Rect::new(least, greatest))
}

impl Object {
    /// The stitches one by one.
    pub fn each_stitch(&self) -> impl Iterator<Item = Stitch> + '_ {
        stitches_of(&self.stitches)
    }

    /// How many stitches there are, of all kinds.
    pub fn stitch_count(&self) -> usize {
        self.stitches.iter().map(|block| block.x.len()).sum()
    }

    /// Whether the needle goes down at least once.
    pub fn is_sewn(&self) -> bool {
        self.stitches
            .iter()
            .any(|block| block.kind == StitchKind::Needle && !block.x.is_empty())
    }

    /// Around the object's needle points, in mm.
    pub fn needle_bounds(&self) -> Option<Rect<f64>> {
        needle_bounds([self])
    }

    /// Around the object's shape, as [`Shape::bounds`] has it.
    pub fn shape_bounds(&self) -> Option<Rect<f64>> {
        self.shape.bounds()
    }
}

impl Design {
    /// Around the shapes of all objects, half the width of lines included; in mm.
    pub fn shape_bounds(&self) -> Option<Rect<f64>> {
        let rects = self.objects.iter().filter_map(Object::shape_bounds);
        bounds(rects.flat_map(|rect| [rect.min(), rect.max()]))
    }
}

impl Shape {
    /// Around all corners and, for lines, half their width; in mm.
    pub fn bounds(&self) -> Option<Rect<f64>> {
        match self {
            Self::Region(region) => bounds(
                region
                    .polygons
                    .iter()
                    .flat_map(|polygon| polygon.outer.corners()),
            ),
            Self::Lines(lines) => lines.bounds(),
            Self::Manual => None,
        }
    }
}

impl Lines {
    /// Around all corners and half the width; in mm.
    pub fn bounds(&self) -> Option<Rect<f64>> {
        let rect = bounds(self.paths.iter().flat_map(|path| path.corners()))?;
        let half = Coord {
            x: self.width / 2.0,
            y: self.width / 2.0,
        };
        Some(Rect::new(rect.min() - half, rect.max() + half))
    }
}

/// Around the needle points of `objects`, in mm.
fn needle_bounds<'a>(objects: impl IntoIterator<Item = &'a Object>) -> Option<Rect<f64>> {
    bounds(
        objects
            .into_iter()
            .flat_map(Object::each_stitch)
            .filter(|stitch| stitch.kind == StitchKind::Needle)
            .map(|stitch| stitch.at),
    )
}

impl Design {
    /// Around all needle points, in mm.
    pub fn needle_bounds(&self) -> Option<Rect<f64>> {
        needle_bounds(&self.objects)
    }
}
