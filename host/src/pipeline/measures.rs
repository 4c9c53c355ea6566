//! Measures of objects that selections ask for, each taken once for as long as the shape stays.

use crate::design::{Object, Shape};
use hoopwright_geometry::{area::clean, measure};
use std::collections::BTreeMap;

/// Widths of regions are told in steps of this, in mm, so that a bar drawn 5 mm wide is: a tenth of the
/// machine's own step.
const STEP: f64 = 0.01;

/// How exactly the radius of a circle is sought, in mm, so that the width is right to the step.
const PRECISION: f64 = 0.002;

/// Measures taken so far, by object.
#[derive(Default)]
pub(super) struct Measures {
    taken: BTreeMap<String, OfObject>,
}

struct OfObject {
    shape: Shape,
    width: Option<Option<f64>>,
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
                area: None,
            });
        if taken.shape != object.shape {
            *taken = OfObject {
                shape: object.shape.clone(),
                width: None,
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
                    // In whole steps to the mm, which are exact where a step itself is not.
                    Some((width / STEP).round() / (1.0 / STEP))
                }
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
