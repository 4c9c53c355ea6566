//! The regions that `tests/oracle/regions.py` made.

use crate::runs::Run;
use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::{DirectionMark, Object, Polygon, Polyline, Region, Shape};
use serde::Deserialize;
use std::error::Error;

/// One region, in mm with y down.
#[derive(Clone, Debug, Deserialize)]
pub struct Sample {
    /// Its name, as no other has.
    pub name: String,
    /// The set it belongs to.
    pub set: String,
    polygons: Vec<Rings>,
}

#[derive(Clone, Debug, Deserialize)]
struct Rings {
    outer: Vec<[f64; 2]>,
    holes: Vec<Vec<[f64; 2]>>,
}

/// All regions, in the order of the file.
///
/// # Errors
/// When the file is missing or is not what `regions.py` writes.
pub fn read() -> Result<Vec<Sample>, Box<dyn Error>> {
    let path = crate::folder().join("regions.json");
    let text = std::fs::read_to_string(&path).map_err(|error| {
        format!(
            "{} cannot be read ({error}): run tests/open-sets/fetch.sh, \
             tests/open-sets/fetch-shapes.sh and tests/oracle/regions.py, as .ci/run does",
            path.display()
        )
    })?;
    Ok(serde_json::from_str(&text)?)
}

impl Sample {
    /// The object that a step gets in `run`.
    pub fn object(&self, run: &Run) -> Object {
        let polygons = self.polygons.iter().map(|rings| Polygon {
            outer: polyline(&rings.outer),
            holes: rings.holes.iter().map(|hole| polyline(hole)).collect(),
        });
        let region = Region {
            polygons: polygons.collect(),
        };
        let mut object = Object::new(&self.name, Shape::Region(region));
        object.sewing.direction_marks = self.marks(run);
        object
    }

    /// The run's marks, laid out over the box around the region.
    fn marks(&self, run: &Run) -> Vec<DirectionMark> {
        let corners = || self.polygons.iter().flat_map(|rings| &rings.outer);
        let bound = |axis: usize, of: fn(f64, f64) -> f64, none: f64| {
            corners().map(|corner| corner[axis]).fold(none, of)
        };
        let place = |share: [f64; 2]| {
            let along = |axis: usize| {
                let least = bound(axis, f64::min, f64::INFINITY);
                let greatest = bound(axis, f64::max, f64::NEG_INFINITY);
                least + share[axis] * (greatest - least)
            };
            Coord {
                x: along(0),
                y: along(1),
            }
        };
        let mark = |&[tail, head]: &[[f64; 2]; 2]| DirectionMark {
            tail: place(tail).into(),
            head: place(head).into(),
        };
        run.marks.iter().map(mark).collect()
    }
}

fn polyline(ring: &[[f64; 2]]) -> Polyline {
    Polyline::new(ring.iter().map(|&[x, y]| Coord { x, y }), true)
}
