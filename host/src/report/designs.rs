//! Designs made by hand for the tests of the measures.

use super::needle_points::NeedlePoints;
use crate::design::{Design, Object, Point, Rectangle, Shape, StitchList, StitchRole, Thread};
use crate::formats::dst::{Machine, Route};
use geo::Coord;

/// The needle points of a sound design on the usual machine; none where it has no stitches.
pub fn points(design: &Design) -> NeedlePoints<'_> {
    let route = match design.objects.iter().any(Object::is_sewn) {
        true => Route::plan(design, &Machine::default()).expect("sound").0,
        false => Route::default(),
    };
    NeedlePoints::of(design, &route)
}

pub fn at(x: f64, y: f64) -> Coord<f64> {
    Coord { x, y }
}

pub fn thread(number: u8) -> Thread {
    Thread {
        name: format!("thread {number}"),
        code: String::new(),
        red: number,
        green: 100,
        blue: 0,
        weight: 40,
    }
}

/// A design of `objects` on a page of 100 mm.
pub fn of(objects: Vec<Object>) -> Design {
    let mut design = Design::on_page(100.0, 100.0, objects);
    design.page = Rectangle {
        least: Point { x: 0.0, y: 0.0 },
        greatest: Point { x: 100.0, y: 100.0 },
    };
    let threads = design.objects.iter().map(|object| object.thread).max();
    design.threads = (0..=threads.unwrap_or(0))
        .map(|number| thread(u8::try_from(number).unwrap_or(u8::MAX)))
        .collect();
    design
}

/// Objects without a shape, each by its id and thread; `sew` lays the stitches of each.
pub fn manual(objects: &[(&str, u32)], mut sew: impl FnMut(usize, &mut StitchList)) -> Design {
    let object = |(place, &(id, thread)): (usize, &(&str, u32))| {
        let mut list = StitchList::new();
        sew(place, &mut list);
        let mut object = Object::new(id, Shape::Manual);
        object.thread = thread;
        object.stitches = list.into_blocks();
        object
    };
    of(objects.iter().enumerate().map(object).collect())
}

/// Rows to and fro: `rows` of them, `pitch` mm apart, of `count` stitches of `length` mm each. The
/// first lies half a pitch down from the origin. Cover stitches only, as a machine file has them.
pub fn rows(count: u32, length: f64, pitch: f64, rows: u32) -> Design {
    manual(&[("rows", 0)], |_, list| {
        lay_rows(list, at(0.0, 0.0), count, length, pitch, rows);
    })
}

/// The stitches of [`rows`], from `from` on.
pub fn lay_rows(
    list: &mut StitchList,
    from: Coord<f64>,
    count: u32,
    length: f64,
    pitch: f64,
    rows: u32,
) {
    for row in 0..rows {
        let y = (f64::from(row) + 0.5) * pitch;
        for stitch in 0..=count {
            let along = if row % 2 == 0 { stitch } else { count - stitch };
            let place = at(f64::from(along) * length, y);
            list.needle(StitchRole::Cover, from + place);
        }
    }
}
