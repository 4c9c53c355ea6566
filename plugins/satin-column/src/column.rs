//! A satin column: an area seen as a ladder of facing edge places.

use crate::pull::Pull;
use hoopwright_sdk::geometry::measure::{cross, distance, way_length};
use hoopwright_sdk::prelude::*;

/// A column whose ends lie nearer to each other than this share of its length comes back to its
/// start.
const COMES_BACK: f64 = 0.1;

/// A pair of edge places that face each other across a column.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rung {
    /// On one edge.
    pub left: Coord<f64>,
    /// On the other.
    pub right: Coord<f64>,
    /// Between them, where centre runs pass.
    pub middle: Coord<f64>,
    /// Whether it spans the whole width, which it does not in a mitred corner.
    pub whole: bool,
}

impl Rung {
    /// A rung over the whole width, with its middle half way.
    pub fn new(left: Coord<f64>, right: Coord<f64>) -> Self {
        Self {
            left,
            right,
            middle: (left + right) / 2.0,
            whole: true,
        }
    }

    /// The width of the column there, in mm.
    pub fn width(&self) -> f64 {
        distance(self.left, self.right)
    }

    /// The same rung, going along the column the other way.
    #[must_use]
    pub fn turned(self) -> Self {
        Self {
            left: self.right,
            right: self.left,
            ..self
        }
    }

    /// The rung moved across the cloth.
    #[must_use]
    pub fn moved(self, by: Coord<f64>) -> Self {
        Self {
            left: self.left + by,
            right: self.right + by,
            middle: self.middle + by,
            ..self
        }
    }
}

/// The direction of a column at one of its rungs, of length 1, or 0 for a rung without width.
pub fn forward(rung: &Rung) -> Coord<f64> {
    let across = rung.left - rung.right;
    Coord {
        x: across.y,
        y: -across.x,
    } / rung.width().max(1e-12)
}

/// A column, from one end to the other or all the way round.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// Its parts between mitred corners, one after the other, each a ladder of close rungs.
    pub sections: Vec<Vec<Rung>>,
    /// Whether it runs all the way round: one section, whose last rung is its first again.
    pub closed: bool,
    /// How far its stitches reach past its edges.
    pub pull: Pull,
}

impl Column {
    /// A column without mitred corners, or nothing where it has fewer than two rungs.
    pub fn whole(rungs: Vec<Rung>, closed: bool) -> Option<Self> {
        (rungs.len() >= 2).then(|| Self::of(vec![rungs], closed))
    }

    /// A column of parts between mitred corners, not compensated yet.
    pub fn of(sections: Vec<Vec<Rung>>, closed: bool) -> Self {
        Self {
            sections,
            closed,
            pull: Pull::NONE,
        }
    }

    /// All rungs in order.
    pub fn rungs(&self) -> impl DoubleEndedIterator<Item = &Rung> {
        self.sections.iter().flatten()
    }

    /// Each rung with the next one of its section.
    pub fn steps(&self) -> impl Iterator<Item = (&Rung, &Rung)> {
        let pairs = self.sections.iter().flat_map(|rungs| rungs.windows(2));
        pairs.map(|pair| (&pair[0], &pair[1]))
    }

    /// Its middle line.
    pub fn spine(&self) -> Vec<Coord<f64>> {
        self.rungs()
            .filter(|rung| rung.whole)
            .map(|rung| rung.middle)
            .collect()
    }

    /// The length of its middle line in mm.
    pub fn length(&self) -> f64 {
        way_length(&self.spine())
    }

    /// Whether it goes to the right as seen, or upwards where it rises more than it goes sideways;
    /// a column that comes back to its start goes onward where it goes round clockwise.
    pub fn runs_onward(&self) -> bool {
        let spine = self.spine();
        let (Some(&first), Some(&last)) = (spine.first(), spine.last()) else {
            return true;
        };
        let way = last - first;
        if self.closed || distance(first, last) < COMES_BACK * self.length() {
            // With y down, what turns clockwise as seen encloses a positive area.
            let next = spine.iter().cycle().skip(1);
            let twice_area: f64 = spine.iter().zip(next).map(|(&a, &b)| cross(a, b)).sum();
            return twice_area >= 0.0;
        }
        if way.x.abs() >= way.y.abs() {
            way.x >= 0.0
        } else {
            way.y <= 0.0
        }
    }

    /// Its largest width in mm.
    pub fn greatest_width(&self) -> f64 {
        self.rungs().map(Rung::width).fold(0.0, f64::max)
    }

    /// The width in mm that half of its rungs do not reach.
    pub fn typical_width(&self) -> f64 {
        let mut widths: Vec<f64> = self.rungs().map(Rung::width).collect();
        widths.sort_by(f64::total_cmp);
        widths.get(widths.len() / 2).copied().unwrap_or(0.0)
    }

    /// The column over some of its rungs, which is open.
    #[must_use]
    pub fn piece(&self, rungs: std::ops::RangeInclusive<usize>) -> Self {
        let mut first = 0;
        let mut sections = Vec::new();
        for section in &self.sections {
            let (from, to) = (first, first + section.len());
            let low = (*rungs.start()).clamp(from, to) - from;
            let high = (*rungs.end() + 1).clamp(from, to) - from;
            if low < high {
                sections.push(section[low..high].to_vec());
            }
            first = to;
        }
        Self {
            sections,
            closed: false,
            pull: self.pull,
        }
    }

    /// The same column, from its end to its start.
    #[must_use]
    pub fn reversed(&self) -> Self {
        let turn = |section: &Vec<Rung>| section.iter().rev().map(|rung| rung.turned()).collect();
        Self {
            sections: self.sections.iter().rev().map(turn).collect(),
            closed: self.closed,
            pull: self.pull.turned(),
        }
    }
}
