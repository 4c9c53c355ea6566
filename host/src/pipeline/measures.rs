//! Measures of objects that selections ask for, each taken once for as long as the shape stays.

use crate::design::{Object, Region, Shape};
use hoopwright_geometry::{area::clean, measure};
use std::collections::BTreeMap;

/// Widths of regions are told in steps of this, in mm, so that a bar drawn 5 mm wide is: a tenth of the
/// machine's own step.
const STEP: f64 = 0.01;

/// How exactly the radius of a circle is sought, in mm, so that the width is right to the step.
const PRECISION: f64 = 0.002;

/// The nearest width in steps: in whole steps to the mm, which are exact where a step itself is not.
fn in_steps(width: f64) -> f64 {
    (width / STEP).round() / (1.0 / STEP)
}

/// Measures taken so far, by object.
#[derive(Default)]
pub(super) struct Measures {
    taken: BTreeMap<String, OfObject>,
}

struct OfObject {
    shape: Shape,
    width: Option<Option<f64>>,
    mean_width: Option<Option<f64>>,
    area: Option<Option<f64>>,
}

impl Measures {
    fn of(&mut self, object: &Object) -> &mut OfObject {
        let taken = self
            .taken
            .entry(object.id.clone())
            .or_insert_with(|| OfObject {
                shape: object.shape.clone(),
                width: None,
                mean_width: None,
                area: None,
            });
        if taken.shape != object.shape {
            *taken = OfObject {
                shape: object.shape.clone(),
                width: None,
                mean_width: None,
                area: None,
            };
        }
        taken
    }

    /// The diameter of the largest circle inside a region, or the drawn width of lines, in mm.
    pub(super) fn width(&mut self, object: &Object) -> Option<f64> {
        *self
            .of(object)
            .width
            .get_or_insert_with(|| match &object.shape {
                Shape::Region(region) => {
                    let area = clean(&region.to_multi_polygon());
                    let circle = measure::largest_circle(&area, PRECISION);
                    let width = circle.map_or(0.0, |circle| 2.0 * circle.radius);
                    Some(in_steps(width))
                }
                Shape::Lines(lines) => Some(lines.width),
                Shape::Manual => None,
            })
    }

    /// Of a region twice the area by the length of its edge, or the drawn width of lines, in mm.
    pub(super) fn mean_width(&mut self, object: &Object) -> Option<f64> {
        let mean = |region: &Region| {
            let area = clean(&region.to_multi_polygon());
            let edge = measure::perimeter(&area);
            (edge > 0.0).then(|| 2.0 * geo::Area::unsigned_area(&area) / edge)
        };
        *self
            .of(object)
            .mean_width
            .get_or_insert_with(|| match &object.shape {
                Shape::Region(region) => Some(mean(region).map_or(0.0, in_steps)),
                Shape::Lines(lines) => Some(lines.width),
                Shape::Manual => None,
            })
    }

    /// The area in mm².
    pub(super) fn area(&mut self, object: &Object) -> Option<f64> {
        let length = self.length(object);
        *self
            .of(object)
            .area
            .get_or_insert_with(|| match &object.shape {
                Shape::Region(region) => {
                    Some(geo::Area::unsigned_area(&clean(&region.to_multi_polygon())))
                }
                Shape::Lines(lines) => length.map(|length| length * lines.width),
                Shape::Manual => None,
            })
    }

    /// The length of all lines together, in mm.
    pub(super) fn length(&self, object: &Object) -> Option<f64> {
        match &object.shape {
            Shape::Lines(lines) => Some(
                lines
                    .paths
                    .iter()
                    .map(|path| measure::length(&path.to_line_string()))
                    .sum(),
            ),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use geo::polygon;

    /// By hand: a bar of 5 x 40 mm holds a circle of 5 mm, and has 2 * 200 / 90 mm on the mean; two such
    /// bars that cross hold one of 7.07 mm (a square's diagonal), and have 2 * 375 / 160 mm.
    #[test]
    fn where_strokes_cross_the_circle_grows_and_the_mean_does_not() {
        let bar = polygon![(x: 0., y: 0.), (x: 40., y: 0.), (x: 40., y: 5.), (x: 0., y: 5.)];
        let cross = polygon![
            (x: 0., y: 17.5), (x: 17.5, y: 17.5), (x: 17.5, y: 0.), (x: 22.5, y: 0.),
            (x: 22.5, y: 17.5), (x: 40., y: 17.5), (x: 40., y: 22.5), (x: 22.5, y: 22.5),
            (x: 22.5, y: 40.), (x: 17.5, y: 40.), (x: 17.5, y: 22.5), (x: 0., y: 22.5)
        ];
        let mut measures = Measures::default();
        let bar = Object::of_region("bar", &bar.into());
        assert_eq!(measures.width(&bar), Some(5.0));
        assert_eq!(measures.mean_width(&bar), Some(4.44));
        let cross = Object::of_region("cross", &cross.into());
        assert_eq!(measures.width(&cross), Some(7.07));
        assert_eq!(measures.mean_width(&cross), Some(4.69));
    }
}
