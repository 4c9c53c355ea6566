//! Shapes to fill, and the step called on them.

use hoopwright_region_fill::{RegionFill, region_fill};
use hoopwright_sdk::geometry::geo::{Coord, LineString, MultiPolygon, Polygon};
use hoopwright_sdk::{Finding, Object, Stitch, Thread, messages, stitches_of};
use std::f64::consts::TAU;

pub fn circle(x: f64, y: f64, radius: f64) -> LineString<f64> {
    (0..180)
        .map(|i| TAU * f64::from(i) / 180.0)
        .map(|a| Coord {
            x: x + radius * a.cos(),
            y: y + radius * a.sin(),
        })
        .collect()
}

pub fn ring(corners: &[(f64, f64)]) -> LineString<f64> {
    corners.iter().map(|&(x, y)| Coord { x, y }).collect()
}

pub fn solid(corners: &[(f64, f64)]) -> MultiPolygon<f64> {
    Polygon::new(ring(corners), vec![]).into()
}

pub fn rectangle(width: f64, height: f64) -> MultiPolygon<f64> {
    solid(&[(0., 0.), (width, 0.), (width, height), (0., height)])
}

pub fn disc() -> MultiPolygon<f64> {
    Polygon::new(circle(0.0, 0.0, 10.0), vec![]).into()
}

pub fn annulus() -> MultiPolygon<f64> {
    Polygon::new(circle(0.0, 0.0, 10.0), vec![circle(0.0, 0.0, 4.0)]).into()
}

/// Seven arms and two holes.
pub fn holed_star() -> MultiPolygon<f64> {
    let arms = (0..14).map(|i| {
        let radius = if i % 2 == 0 { 18.0 } else { 8.0 };
        let a = TAU * f64::from(i) / 14.0;
        Coord {
            x: radius * a.cos(),
            y: radius * a.sin(),
        }
    });
    Polygon::new(
        arms.collect(),
        vec![circle(-3.0, -3.0, 2.0), circle(4.0, 2.0, 2.5)],
    )
    .into()
}

/// A bar with four teeth.
pub fn comb() -> MultiPolygon<f64> {
    solid(&[
        (0., 0.),
        (30., 0.),
        (30., 12.),
        (26., 12.),
        (26., 4.),
        (22., 4.),
        (22., 15.),
        (18., 15.),
        (18., 4.),
        (14., 4.),
        (14., 12.),
        (10., 12.),
        (10., 4.),
        (6., 4.),
        (6., 16.),
        (0., 16.),
    ])
}

pub fn thread() -> Thread {
    Thread {
        name: "barn".to_owned(),
        code: String::new(),
        red: 120,
        green: 80,
        blue: 40,
        weight: 40,
    }
}

/// What the step makes of an object, and what it says.
pub fn sew(object: Object, settings: &RegionFill) -> (Object, Vec<Finding>) {
    messages::take();
    let object = region_fill(object, &thread(), settings).unwrap();
    (object, messages::take())
}

/// The stitches for an area.
pub fn stitches(area: &MultiPolygon<f64>, settings: &RegionFill) -> Vec<Stitch> {
    let (object, _) = sew(Object::of_region("owl", area), settings);
    stitches_of(&object.stitches).collect()
}
