//! A part of a region: its edges, and where the lines across meet them.

use crate::hatch::Line;
use hoopwright_sdk::geometry::geo::{Coord, LineString, Polygon};
use hoopwright_sdk::geometry::measure::{distance, nearest_on};
use hoopwright_sdk::geometry::resample::{cumulative, place};

/// An end of a line, on an edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Mark {
    /// How far along the edge, in mm.
    pub along: f64,
    /// Which line.
    pub line: usize,
    /// Which of its two ends.
    pub end: usize,
}

/// A closed edge, the outer one or that of a hole.
#[derive(Clone, Debug)]
pub(crate) struct Edge {
    corners: Vec<Coord<f64>>,
    lengths: Vec<f64>,
    /// In order along the edge.
    pub marks: Vec<Mark>,
}

/// One part of a region with its lines.
#[derive(Clone, Debug)]
pub(crate) struct Part {
    /// The outer edge first.
    pub edges: Vec<Edge>,
    /// The lines, from end 0 to end 1.
    pub lines: Vec<Line>,
    /// For each line the edge that each of its ends lies on.
    pub ends: Vec<[usize; 2]>,
}

impl Part {
    /// Each end of the `lines` belongs to the edge of `polygon` nearest to it.
    pub fn new(polygon: &Polygon<f64>, lines: Vec<Line>) -> Self {
        let rings = std::iter::once(polygon.exterior()).chain(polygon.interiors());
        let mut edges: Vec<Edge> = rings.map(Edge::new).collect();
        let mut ends = Vec::with_capacity(lines.len());
        for (number, line) in lines.iter().enumerate() {
            ends.push([0, 1].map(|end| {
                let met = edges.iter().map(|edge| edge.nearest(line[end])).enumerate();
                let nearest = met.min_by(|(_, a), (_, b)| a.0.total_cmp(&b.0));
                let (edge, along) = nearest.map_or((0, 0.0), |(edge, (_, along))| (edge, along));
                edges[edge].marks.push(Mark {
                    along,
                    line: number,
                    end,
                });
                edge
            }));
        }
        for edge in &mut edges {
            edge.marks.sort_by(|a, b| a.along.total_cmp(&b.along));
        }
        Self { edges, lines, ends }
    }

    /// How far `at` is from its outer edge, in mm.
    pub fn distance(&self, at: Coord<f64>) -> f64 {
        self.edges[0].nearest(at).0
    }
}

impl Edge {
    fn new(ring: &LineString<f64>) -> Self {
        let corners = ring.0.clone();
        let lengths = cumulative(&corners);
        Self {
            corners,
            lengths,
            marks: Vec::new(),
        }
    }

    /// Its length in mm.
    pub fn length(&self) -> f64 {
        self.lengths.last().copied().unwrap_or(0.0)
    }

    /// How far `from` is from the edge, and how far along the edge the place nearest to it lies, in mm.
    pub fn nearest(&self, from: Coord<f64>) -> (f64, f64) {
        let steps = self.corners.windows(2).zip(&self.lengths);
        let away = steps.map(|(step, &so_far)| {
            let at = nearest_on([step[0], step[1]], from);
            (distance(at, from), so_far + distance(step[0], at))
        });
        away.min_by(|a, b| a.0.total_cmp(&b.0))
            .unwrap_or((f64::MAX, 0.0))
    }

    /// The piece of the edge from `from` mm along it on to `to`; once round where both are the same. The
    /// places wrap at the edge's length.
    pub fn piece(&self, from: f64, to: f64) -> LineString<f64> {
        let length = self.length();
        let to = if to > from { to } else { to + length };
        let mut places = vec![self.at(from)];
        // Two rounds hold every piece, wherever it begins.
        for round in [0.0, length] {
            let inner = self.lengths.iter().zip(&self.corners).skip(1);
            let between = inner.filter(|(along, _)| (from..to).contains(&(*along + round)));
            places.extend(between.map(|(_, &corner)| corner));
        }
        places.push(self.at(to));
        places.dedup();
        LineString::new(places)
    }

    /// The place `along` mm along the edge.
    pub fn at(&self, along: f64) -> Coord<f64> {
        let length = self.length();
        let within = if along > length {
            along - length
        } else {
            along
        };
        place(&self.corners, &self.lengths, within)
    }
}
