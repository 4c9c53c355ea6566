//! Where two fills of one thread touch, and nothing but their rows can show it.
//!
//! What is sewn later lies on top, so a border runs along its edge. Places all along the edge are asked what shows
//! beyond it.

use crate::BorderAngles;
use crate::fills::Fill;
use hoopwright_sdk::geometry::boxes::Boxes;
use hoopwright_sdk::geometry::edge_grid::EdgeGrid;
use hoopwright_sdk::geometry::geo::Rect;
use hoopwright_sdk::geometry::measure::{distance, perimeter};
use hoopwright_sdk::hiding;
use hoopwright_sdk::prelude::*;
use std::collections::BTreeMap;

/// Places along an edge are this far apart, in mm: about as far as the ends of rows.
const PITCH: f64 = 0.25;

/// So many places of one object are asked about at the most, beside one an edge.
const MOST_PLACES: f64 = 2e4;

/// What lies beside an edge is looked for this far from it, in mm: half the machine's own step, so far that
/// areas with a common edge, which differ in the last digit, are told apart.
const BESIDE: f64 = 0.05;

/// A border that two fills share.
pub(crate) struct Border {
    /// Places of the two in the design; the second is sewn later.
    pub fills: [usize; 2],
    /// In mm.
    pub length: f64,
    /// Somewhere on it.
    pub place: Coord<f64>,
}

/// The borders at least as long as the settings ask for, of which an angle can still be chosen.
pub(crate) fn between(
    objects: &[Object],
    fills: &[Option<Fill>],
    settings: &BorderAngles,
) -> Vec<Border> {
    let above = touching(objects, fills, settings.gap);
    if above.is_empty() {
        return Vec::new();
    }
    let ground = Ground::of(objects, fills, settings);
    let mut found: BTreeMap<[usize; 2], Border> = BTreeMap::new();
    for (number, &above_place) in above.iter().enumerate() {
        messages::progress(number as f64 / above.len() as f64);
        for piece in ground.pieces_along(above_place) {
            let Some(below) = ground.borders_on(above_place, &piece) else {
                continue;
            };
            let fills = [below, above_place];
            let border = found.entry(fills).or_insert(Border {
                fills,
                length: 0.0,
                place: piece.middle,
            });
            border.length += piece.length;
        }
    }
    let mut found: Vec<Border> = found.into_values().collect();
    found.retain(|border| border.length >= settings.least_border);
    found
}

/// The fills that may share a border with one that is sewn before them.
fn touching(objects: &[Object], fills: &[Option<Fill>], gap: f64) -> Vec<usize> {
    let bounds = fills.iter().map(|fill| fill.as_ref()?.edges.bounds());
    let boxes = Boxes::new(bounds.enumerate());
    let is_above = |&place: &usize| {
        let Some(bounds) = fills[place].as_ref().and_then(|fill| fill.edges.bounds()) else {
            return false;
        };
        let near = boxes.near(bounds, gap).into_iter();
        let mut earlier = near.take_while(|&near| near < place);
        earlier.any(|near| objects[near].thread == objects[place].thread)
    };
    (0..fills.len()).filter(is_above).collect()
}

/// A short piece of an edge.
struct Piece {
    middle: Coord<f64>,
    /// Either side of it, one inside and one outside.
    sides: [Coord<f64>; 2],
    length: f64,
}

/// All that lies on the cloth.
struct Ground<'a> {
    objects: &'a [Object],
    fills: &'a [Option<Fill>],
    /// The edges of what is no fill.
    others: Vec<Option<EdgeGrid>>,
    /// Which objects hide what lies beneath them.
    hides: Vec<bool>,
    boxes: Boxes,
    settings: &'a BorderAngles,
}

impl<'a> Ground<'a> {
    fn of(objects: &'a [Object], fills: &'a [Option<Fill>], settings: &'a BorderAngles) -> Self {
        let others: Vec<Option<EdgeGrid>> = objects
            .iter()
            .zip(fills)
            .map(|(object, fill)| {
                let is_other = fill.is_none() && object.shape != Shape::Manual;
                is_other.then(|| EdgeGrid::new(&object.footprint()))
            })
            .collect();
        let edges = fills.iter().zip(&others).map(|(fill, other)| {
            let edges = fill.as_ref().map(|fill| &fill.edges);
            edges.or(other.as_ref())?.bounds()
        });
        let boxes = Boxes::new(edges.enumerate());
        Self {
            objects,
            fills,
            others,
            hides: objects.iter().map(hiding::will_hide).collect(),
            boxes,
            settings,
        }
    }

    fn edges(&self, place: usize) -> Option<&EdgeGrid> {
        let fill = self.fills[place].as_ref().map(|fill| &fill.edges);
        fill.or(self.others[place].as_ref())
    }

    /// The edge of the fill at `place` in short pieces.
    fn pieces_along(&self, place: usize) -> impl Iterator<Item = Piece> + '_ {
        let area = self.fills[place].as_ref().map(|fill| &fill.area);
        let pitch = area.map_or(PITCH, |area| PITCH.max(perimeter(area) / MOST_PLACES));
        let polygons = area.into_iter().flatten();
        let rings =
            polygons.flat_map(|part| std::iter::once(part.exterior()).chain(part.interiors()));
        let edges = rings.flat_map(|ring| ring.0.windows(2));
        edges.flat_map(move |edge| pieces([edge[0], edge[1]], pitch))
    }

    /// The fill that the one at `above` borders on there, if rows alone can show that.
    fn borders_on(&self, above: usize, piece: &Piece) -> Option<usize> {
        let gap = self.settings.gap;
        let here = Rect::new(piece.middle, piece.middle);
        let near = self.boxes.near(here, gap);
        let own = self.edges(above)?;
        let outside = match piece.sides.map(|side| own.contains(side)) {
            [true, false] => piece.sides[1],
            [false, true] => piece.sides[0],
            // A sliver, or a slit as fine as a hair.
            _ => return None,
        };
        let thread = self.objects[above].thread;
        let (earlier, later) = near.split_at(near.partition_point(|&near| near < above));
        // What is sewn later along the edge hides it or draws it in another colour; a border with a later fill
        // runs along that one's edge.
        let is_hidden = later.iter().any(|&other| {
            let matters = self.objects[other].thread != thread || self.fills[other].is_some();
            let edges = self.edges(other).filter(|_| matters && other != above);
            edges.is_some_and(|edges| edges.reaches(piece.middle, gap))
        });
        if is_hidden {
            return None;
        }
        let topmost = |shows: &dyn Fn(&EdgeGrid) -> bool| {
            let from_top = earlier.iter().rev().copied();
            let mut hiding = from_top.filter(|&other| self.hides[other]);
            hiding.find(|&other| self.edges(other).is_some_and(shows))
        };
        let beyond = topmost(&|edges| edges.contains(outside));
        // Or straight across a gap.
        let across = piece.middle + (outside - piece.middle) * (gap / BESIDE);
        let beyond =
            beyond.or_else(|| topmost(&|edges| edges.first_meeting(outside, across).is_some()));
        beyond.filter(|&other| self.may_turn(other, above))
    }

    /// Whether it is for this step to let rows show a border of the two.
    fn may_turn(&self, below: usize, above: usize) -> bool {
        let [Some(one), Some(other)] = [below, above].map(|place| self.fills[place].as_ref())
        else {
            return false;
        };
        self.objects[below].thread == self.objects[above].thread
            && (one.own.is_none() || other.own.is_none())
            && one.kin != other.kin
    }
}

/// The edge in pieces no longer than `pitch` mm.
fn pieces([a, b]: [Coord<f64>; 2], pitch: f64) -> impl Iterator<Item = Piece> {
    let way = b - a;
    let length = distance(a, b);
    let count = if length > 0.0 {
        (length / pitch).ceil().max(1.0) as usize
    } else {
        0
    };
    let out = Coord {
        x: -way.y,
        y: way.x,
    } * (BESIDE / length);
    (0..count).map(move |number| {
        let middle = a + way * ((number as f64 + 0.5) / count as f64);
        Piece {
            middle,
            sides: [middle + out, middle - out],
            length: length / count as f64,
        }
    })
}
