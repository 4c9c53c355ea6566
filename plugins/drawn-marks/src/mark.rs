//! What a tagged object says.

use crate::DrawnMarks;
use hoopwright_sdk::DirectionMark;
use hoopwright_sdk::geometry::geo::{BoundingRect, LineString};
use hoopwright_sdk::geometry::measure::{distance, length};
use hoopwright_sdk::geometry::measured::Measured;
use hoopwright_sdk::prelude::*;

/// Pieces shorter than this say nothing about a direction, in mm.
const SHORTEST_PIECE: f64 = 1e-3;

/// A mark.
#[derive(Clone, Debug, PartialEq)]
pub enum Mark {
    /// Stitches lie along this line.
    Direction(LineString<f64>),
    /// The thread begins here.
    Start(Coord<f64>),
    /// The thread ends here.
    Finish(Coord<f64>),
}

impl Mark {
    /// Where it lies.
    pub fn place(&self) -> Coord<f64> {
        match self {
            Self::Direction(line) => middle(line),
            Self::Start(at) | Self::Finish(at) => *at,
        }
    }
}

/// A kind of marks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Turns stitches.
    Direction,
    /// Where to begin.
    Start,
    /// Where to end.
    Finish,
}

/// The tags by which marks are known.
#[derive(Debug)]
pub struct Tags<'a> {
    kinds: [(&'a str, Kind); 3],
}

impl<'a> Tags<'a> {
    /// The tags of `settings`.
    ///
    /// # Errors
    /// Where two of them are the same.
    pub fn new(settings: &'a DrawnMarks) -> Result<Self, Failure> {
        let kinds = [
            (settings.direction_tag.as_str(), Kind::Direction),
            (settings.start_tag.as_str(), Kind::Start),
            (settings.finish_tag.as_str(), Kind::Finish),
        ];
        for (i, (tag, _)) in kinds.iter().enumerate() {
            if kinds[..i].iter().any(|(other, _)| other == tag) {
                return Err(Failure::new(format!(
                    "two kinds of marks have the same tag \"{tag}\""
                ))
                .help("Give `direction-tag`, `start-tag` and `finish-tag` three different tags."));
            }
        }
        Ok(Self { kinds })
    }

    /// Which kind of mark an object is, if it is one.
    pub fn kind_of(&self, object: &Object) -> Option<Kind> {
        let is = |tag: &str| object.tags.iter().any(|its| its == tag);
        let kind = self.kinds.iter().find(|(tag, _)| is(tag));
        kind.map(|&(_, kind)| kind)
    }
}

/// The marks that an object of a kind draws: one for each line, or one for all of it.
pub fn read(object: &Object, kind: Kind) -> Vec<Mark> {
    let lines = lines_of(object);
    match kind {
        Kind::Direction => {
            let long = lines
                .into_iter()
                .filter(|line| length(line) > SHORTEST_PIECE);
            long.map(Mark::Direction).collect()
        }
        Kind::Start | Kind::Finish => {
            let bounds = LineString::from_iter(lines.into_iter().flatten()).bounding_rect();
            let mark = if kind == Kind::Start {
                Mark::Start
            } else {
                Mark::Finish
            };
            bounds
                .map(|bounds| mark(bounds.center()))
                .into_iter()
                .collect()
        }
    }
}

/// An object's lines, or the edges of its region; without what is not finite.
fn lines_of(object: &Object) -> Vec<LineString<f64>> {
    let paths: Vec<&Polyline> = match &object.shape {
        Shape::Lines(lines) => lines.paths.iter().collect(),
        Shape::Region(region) => region
            .polygons
            .iter()
            .map(|polygon| &polygon.outer)
            .collect(),
        Shape::Manual => Vec::new(),
    };
    let finite = |line: &LineString<f64>| line.0.iter().all(|c| c.x.is_finite() && c.y.is_finite());
    let lines = paths.into_iter().map(Polyline::to_line_string);
    lines.filter(finite).collect()
}

/// The place half way along a line.
pub fn middle(line: &LineString<f64>) -> Coord<f64> {
    let line = Measured::new(line.0.clone());
    line.place(line.length() / 2.0)
}

/// Each piece of a line as a direction mark.
pub fn pieces(line: &LineString<f64>) -> impl Iterator<Item = DirectionMark> + '_ {
    line.0
        .windows(2)
        .filter(|ends| distance(ends[0], ends[1]) > SHORTEST_PIECE)
        .map(|ends| DirectionMark {
            tail: ends[0].into(),
            head: ends[1].into(),
        })
}
