//! What an object hides of those beneath it.

use crate::CutLayers;
use hoopwright_sdk::Lines;
use hoopwright_sdk::geometry::edge_grid::EdgeGrid;
use hoopwright_sdk::geometry::geo::{BoundingRect, LineString, MultiPolygon, Rect};
use hoopwright_sdk::geometry::measure::holds_circle;
use hoopwright_sdk::geometry::measured::Measured;
use hoopwright_sdk::geometry::{clean, offset};
use hoopwright_sdk::prelude::*;
use std::cell::OnceCell;

/// An object that hides what lies beneath it.
pub(crate) struct Upper {
    /// Its place in the design.
    pub place: usize,
    /// The area that it surely covers, cleaned.
    pub area: MultiPolygon<f64>,
    pub bounds: Rect<f64>,
    /// The lines, where it is lines: they may cover a little more, at their ends.
    pub lines: Option<Lines>,
    underlap: Underlap,
    edges: OnceCell<EdgeGrid>,
}

/// How far what lies beneath goes on, in mm.
enum Underlap {
    Known(f64),
    /// By the width of the area, which is measured only when it is asked for.
    ByWidth(OnceCell<f64>),
}

impl Upper {
    /// What the object at `place` hides, or nothing: fine lines, stitches placed by hand and
    /// what has no area hide nothing. `area` is the object's own area where it is a region.
    pub fn of(
        place: usize,
        object: &Object,
        area: &MultiPolygon<f64>,
        settings: &CutLayers,
    ) -> Option<Self> {
        match &object.shape {
            Shape::Region(_) => {
                let by_width = Underlap::ByWidth(OnceCell::new());
                Self::new(place, area.clone(), None, by_width)
            }
            Shape::Lines(lines) if lines.width >= settings.line_hides_from => {
                Self::of_lines(place, lines, settings)
            }
            Shape::Lines(_) | Shape::Manual => None,
        }
    }

    /// What `lines`, the object at `place`, hide, however fine they are.
    pub fn of_lines(place: usize, lines: &Lines, settings: &CutLayers) -> Option<Self> {
        let underlap = Underlap::Known(settings.under_lines);
        Self::new(place, surely_covered(lines), Some(lines.clone()), underlap)
    }

    /// One of which all is known.
    pub fn known(
        place: usize,
        area: MultiPolygon<f64>,
        lines: Option<Lines>,
        underlap: f64,
    ) -> Option<Self> {
        Self::new(place, area, lines, Underlap::Known(underlap))
    }

    fn new(
        place: usize,
        area: MultiPolygon<f64>,
        lines: Option<Lines>,
        underlap: Underlap,
    ) -> Option<Self> {
        Some(Self {
            place,
            bounds: area.bounding_rect()?,
            area,
            lines,
            underlap,
            edges: OnceCell::new(),
        })
    }

    /// The area's edges, to be asked what they meet.
    pub fn edges(&self) -> &EdgeGrid {
        self.edges.get_or_init(|| EdgeGrid::new(&self.area))
    }

    /// How far what lies beneath goes on under this one, in mm.
    pub fn underlap(&self, settings: &CutLayers) -> f64 {
        match &self.underlap {
            Underlap::Known(underlap) => *underlap,
            Underlap::ByWidth(measured) => *measured.get_or_init(|| {
                if self.is_wide(settings.fills_from) {
                    settings.under_fills
                } else {
                    settings.under_narrow
                }
            }),
        }
    }

    /// Whether it will be sewn as a fill.
    pub fn is_fill(&self, settings: &CutLayers) -> bool {
        self.lines.is_none() && self.is_wide(settings.fills_from)
    }

    fn is_wide(&self, width: f64) -> bool {
        let narrowest = self.bounds.width().min(self.bounds.height());
        narrowest >= width && holds_circle(&self.area, width / 2.0)
    }
}

/// The strokes of `lines` without what lies beyond their ends and corners: whether an end is sewn
/// round or flat is not known here, so that only what lies under both counts.
fn surely_covered(lines: &Lines) -> MultiPolygon<f64> {
    let strokes = lines.paths.iter().flat_map(|path| {
        let line = path.to_line_string();
        let line = if path.closed {
            line
        } else {
            shortened(&line, lines.width / 2.0)
        };
        offset::stroke(&line, lines.width)
    });
    let strokes: MultiPolygon<f64> = strokes.collect();
    clean(&strokes)
}

/// A line without its first and its last `by` mm; nothing where it is not longer than that.
fn shortened(line: &LineString<f64>, by: f64) -> LineString<f64> {
    let line = Measured::new(line.0.clone());
    let end = line.length() - by;
    if !(end - by).is_finite() || end <= by {
        return LineString::new(Vec::new());
    }
    LineString(line.part(by, end))
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_sdk::geometry::geo::{Area, line_string, polygon};

    fn upper_of(object: &Object) -> Option<Upper> {
        let area = match &object.shape {
            Shape::Region(region) => clean(&region.to_multi_polygon()),
            _ => MultiPolygon::new(Vec::new()),
        };
        Upper::of(0, object, &area, &CutLayers::default())
    }

    #[test]
    fn the_underlap_goes_by_kind_and_width() {
        let settings = CutLayers::default();
        let bar = |height: f64| {
            let bar =
                polygon![(x: 0., y: 0.), (x: 40., y: 0.), (x: 40., y: height), (x: 0., y: height)];
            upper_of(&Object::of_region("bar", &bar.into())).expect("it hides")
        };
        assert_eq!(bar(4.9).underlap(&settings), settings.under_narrow);
        assert_eq!(bar(5.1).underlap(&settings), settings.under_fills);
        // An L of two narrow arms has wide bounds, but no room for a circle of 5 mm.
        let l = polygon![
            (x: 0., y: 0.), (x: 40., y: 0.), (x: 40., y: 2.), (x: 2., y: 2.), (x: 2., y: 40.), (x: 0., y: 40.)
        ];
        let l = upper_of(&Object::of_region("l", &l.into())).expect("it hides");
        assert_eq!(l.underlap(&settings), settings.under_narrow);
    }

    #[test]
    fn fine_lines_dots_and_manual_objects_hide_nothing() {
        let line = line_string![(x: 0., y: 0.), (x: 10., y: 0.)];
        assert!(upper_of(&Object::of_line("fine", &line, 0.9)).is_none());
        assert!(upper_of(&Object::of_line("dot", &line, 10.0)).is_none());
        assert!(upper_of(&Object::new("hand", Shape::Manual)).is_none());
        let lost = line_string![(x: 0., y: 0.), (x: f64::NAN, y: 0.), (x: 10., y: 0.)];
        assert!(upper_of(&Object::of_line("lost", &lost, 2.0)).is_none());
    }

    /// Length between the ends' middles times width, and a disc for the ends (Steiner), by hand:
    /// 8 x 2 + pi.
    #[test]
    fn a_line_hides_no_more_than_a_flat_end_covers() {
        let line = line_string![(x: 0., y: 0.), (x: 10., y: 0.)];
        let upper = upper_of(&Object::of_line("line", &line, 2.0)).expect("it hides");
        assert!((upper.area.unsigned_area() - 19.1416).abs() < 0.03);
        assert!(upper.bounds.min().x > -1e-6 && upper.bounds.max().x < 10.0 + 1e-6);
    }
}
