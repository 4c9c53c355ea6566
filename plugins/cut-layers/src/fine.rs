//! Lines that are too fine to hide what lies beneath: only what of their own thread runs along the same
//! way does so for nothing, as where neighbours share a border.

use crate::CutLayers;
use crate::upper::Upper;
use hoopwright_sdk::geometry::boxes::Boxes;
use hoopwright_sdk::geometry::geo::{BoundingRect, MultiPolygon, Rect};
use hoopwright_sdk::geometry::measured::Measured;
use hoopwright_sdk::prelude::*;
use hoopwright_sdk::{Lines, THREAD_WIDTH};
use std::cell::OnceCell;
use std::cmp::Reverse;

/// Where two strokes share an edge, rounding may leave a hair of the lower one there: the upper one counts as so
/// much wider, in mm, a twenty-fifth of the machine's own step.
const HAIR: f64 = 0.004;

/// The fine lines so far.
#[derive(Default)]
pub(crate) struct FineLines {
    all: Vec<FineLine>,
    boxes: Boxes,
}

struct FineLine {
    place: usize,
    thread: u32,
    /// At least as wide as a thread, as they are sewn.
    lines: Lines,
    bounds: Rect<f64>,
    /// As an upper object, made when one first seems to run along beneath.
    upper: OnceCell<Option<Upper>>,
}

impl FineLines {
    /// Adds the object at `place`, which covers `area`, if it is fine lines.
    pub fn add(
        &mut self,
        place: usize,
        object: &Object,
        area: &MultiPolygon<f64>,
        settings: &CutLayers,
    ) {
        let Shape::Lines(lines) = &object.shape else {
            return;
        };
        if let Some(bounds) = area.bounding_rect()
            && lines.width < settings.line_hides_from
        {
            self.boxes.add(self.all.len(), bounds);
            self.all.push(FineLine {
                place,
                thread: object.thread,
                lines: as_sewn(lines),
                bounds,
                upper: OnceCell::new(),
            });
        }
    }

    /// Those that `object` at `place`, which covers `area`, runs along beneath for long enough to be cut: of its
    /// own thread and at least as wide, the topmost first.
    pub fn along(
        &self,
        place: usize,
        object: &Object,
        area: &MultiPolygon<f64>,
        settings: &CutLayers,
    ) -> Vec<&Upper> {
        let (Shape::Lines(lines), Some(bounds)) = (&object.shape, area.bounding_rect()) else {
            return Vec::new();
        };
        let width = lines.width.max(THREAD_WIDTH);
        let near = self.boxes.near(bounds, 0.0).into_iter();
        let near = near.map(|number| &self.all[number]);
        let alike = near.filter(|fine| {
            fine.place > place && fine.thread == object.thread && fine.lines.width >= width
        });
        let mut ways: Option<Vec<Vec<Coord<f64>>>> = None;
        let along = alike.filter_map(|fine| {
            let ways = ways.get_or_insert_with(|| places_along(lines, settings.least_line_cut));
            fine.beneath_along(ways, settings)
        });
        let mut along: Vec<&Upper> = along.collect();
        along.sort_by_key(|upper| Reverse(upper.place));
        along
    }
}

impl FineLine {
    /// Itself as an upper, where two places in a row of one of `ways` lie in its strokes.
    fn beneath_along(&self, ways: &[Vec<Coord<f64>>], settings: &CutLayers) -> Option<&Upper> {
        let two_in_a_row = |within: &dyn Fn(Coord<f64>) -> bool| {
            let mut pairs = ways.iter().flat_map(|way| way.windows(2));
            pairs.any(|pair| within(pair[0]) && within(pair[1]))
        };
        let (low, high) = (self.bounds.min(), self.bounds.max());
        let is_near =
            |at: Coord<f64>| (low.x..=high.x).contains(&at.x) && (low.y..=high.y).contains(&at.y);
        if !two_in_a_row(&is_near) {
            return None;
        }
        let upper = self
            .upper
            .get_or_init(|| Upper::of_lines(self.place, &self.lines, settings));
        let upper = upper.as_ref()?;
        two_in_a_row(&|at| upper.edges().contains(at)).then_some(upper)
    }
}

/// Places along each path, so near to each other that two in a row lie in any stretch of `least` mm, or in
/// all of a shorter path.
fn places_along(lines: &Lines, least: f64) -> Vec<Vec<Coord<f64>>> {
    let ways = lines.paths.iter().map(|path| {
        let line = Measured::new(path.to_line_string().0);
        let count = (2.0 * line.length() / least).ceil().max(2.0);
        if !count.is_finite() {
            return Vec::new();
        }
        let step = line.length() / count;
        let places = (0..count as usize).map(|i| line.place((i as f64 + 0.5) * step));
        places.collect()
    });
    ways.collect()
}

/// The lines, at least as wide as a thread and a hair wider.
fn as_sewn(lines: &Lines) -> Lines {
    Lines {
        paths: lines.paths.clone(),
        width: lines.width.max(THREAD_WIDTH) + HAIR,
    }
}
