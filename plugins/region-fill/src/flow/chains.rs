//! Lines strung into chains, each end turning into the beginning of a line nearby.

use crate::flow::streamlines::Streamlines;
use crate::flow::stringing::Stringing;
use hoopwright_sdk::geometry::edge_grid::EdgeGrid;
use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::geometry::measure::{cross, distance, dot};
use hoopwright_sdk::groups::Groups;

/// No turn along the edge is longer than this, in mm: a longer one is travelled.
pub const LONGEST_TURN: f64 = 2.5;

/// A stretch of a line, and which way it is sewn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Run {
    /// The line.
    pub line: usize,
    /// The place, in its points, to begin at.
    pub from: usize,
    /// The place to end at.
    pub to: usize,
}

/// Runs that follow one another.
pub type Chain = Vec<Run>;

impl Run {
    /// The same the other way.
    pub fn reversed(&self) -> Self {
        Self {
            from: self.to,
            to: self.from,
            ..*self
        }
    }

    /// Where it begins.
    pub fn begin(&self, lines: &Streamlines) -> Coord<f64> {
        lines.point(self.line, self.from)
    }

    /// Where it ends.
    pub fn end(&self, lines: &Streamlines) -> Coord<f64> {
        lines.point(self.line, self.to)
    }

    /// Its points in the order of sewing.
    pub fn points(&self, lines: &Streamlines) -> Vec<Coord<f64>> {
        lines.points(self.line, self.from, self.to)
    }

    /// Whether it ends on the region's edge.
    pub fn ends_at_edge(&self, lines: &Streamlines) -> bool {
        let line = &lines.lines[self.line];
        (self.to == 0 && line.at_edge[0]) || (self.to + 1 == line.count() && line.at_edge[1])
    }

    /// A little before its end, and the direction it ends in.
    pub fn leaves(&self, lines: &Streamlines) -> (Coord<f64>, Coord<f64>) {
        let back = if self.from <= self.to {
            self.to.saturating_sub(2).max(self.from)
        } else {
            (self.to + 2).min(self.from)
        };
        let (before, end) = (lines.point(self.line, back), self.end(lines));
        let length = distance(end, before).max(1e-9);
        (before, (end - before) / length)
    }
}

/// A stretch of a line that is not in a chain yet, or in which chain it is.
#[derive(Clone, Copy, Debug)]
pub struct Piece {
    /// The line.
    pub line: usize,
    /// Its first place in the line's points.
    pub low: usize,
    /// Its last place.
    pub high: usize,
    /// Its chain.
    pub chain: Option<usize>,
}

/// All lines of a region in chains.
#[derive(Debug)]
pub struct Chains {
    /// In the order of stringing.
    pub all: Vec<Chain>,
    pieces: Vec<Piece>,
    of_line: Vec<Vec<usize>>,
}

impl Chains {
    /// Strings all `lines`; the first chain begins near `first`.
    pub fn new(lines: &Streamlines, edges: &EdgeGrid, first: Coord<f64>, keep_first: bool) -> Self {
        let mut stringing = Stringing::new(lines, edges);
        let mut here = first;
        while let Some(begin) = stringing.nearest_begin(here) {
            here = stringing.string(begin);
        }
        let mut chains = Self {
            all: stringing.chains,
            of_line: stringing.of_line,
            pieces: stringing.pieces,
        };
        chains.join(lines, edges, keep_first);
        chains
    }

    /// The chain of a place of a line.
    pub fn of(&self, line: usize, place: usize) -> Option<usize> {
        let pieces = self.of_line[line].iter().map(|&piece| self.pieces[piece]);
        pieces
            .into_iter()
            .find(|piece| (piece.low..=piece.high).contains(&place))
            .and_then(|piece| piece.chain)
    }

    /// Joins chains that end close together; with `keep_first`, the first keeps its beginning.
    fn join(&mut self, lines: &Streamlines, edges: &EdgeGrid, keep_first: bool) {
        // The runs that lead out of each chain at its beginning and at its end.
        let ends: Vec<(usize, usize, Run)> = self
            .all
            .iter()
            .enumerate()
            .flat_map(|(i, chain)| {
                let begin = chain.first().map(|run| (i, 0, run.reversed()));
                begin
                    .into_iter()
                    .chain(chain.last().map(|run| (i, 1, *run)))
            })
            .filter(|&(i, side, _)| !(keep_first && i == 0 && side == 0))
            .collect();
        let mut turns = Vec::new();
        for (k, &(a, a_side, out)) in ends.iter().enumerate() {
            for &(b, b_side, back) in &ends[k + 1..] {
                if a != b
                    && let Some(cost) = turn(lines, edges, out, back.reversed())
                {
                    turns.push((cost, (a, a_side), (b, b_side)));
                }
            }
        }
        turns.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut next: Vec<[Option<(usize, usize)>; 2]> = vec![[None; 2]; self.all.len()];
        let mut groups = Groups::new(self.all.len());
        for (_, a, b) in turns {
            if next[a.0][a.1].is_some() || next[b.0][b.1].is_some() || !groups.merge(a.0, b.0) {
                continue;
            }
            next[a.0][a.1] = Some(b);
            next[b.0][b.1] = Some(a);
        }
        let mut joined: Vec<Chain> = Vec::new();
        let mut of = vec![usize::MAX; self.all.len()];
        for first in 0..self.all.len() {
            // Begin at a free end; the first chain at its own beginning.
            let Some(side) = (0..2).find(|&side| next[first][side].is_none()) else {
                continue;
            };
            if of[first] != usize::MAX {
                continue;
            }
            let mut runs = Chain::new();
            let mut at = Some((first, side));
            while let Some((chain, side)) = at {
                of[chain] = joined.len();
                if side == 0 {
                    runs.extend(&self.all[chain]);
                } else {
                    runs.extend(self.all[chain].iter().rev().map(Run::reversed));
                }
                at = next[chain][1 - side];
            }
            joined.push(runs);
        }
        for piece in &mut self.pieces {
            piece.chain = piece.chain.map(|chain| of[chain]);
        }
        self.all = joined;
    }
}

/// What it costs, in mm, to turn from the end of a run to the beginning of another, if one can.
pub fn turn(lines: &Streamlines, edges: &EdgeGrid, out: Run, back: Run) -> Option<f64> {
    let (end, begin) = (out.end(lines), back.begin(lines));
    let long = distance(end, begin);
    if long > LONGEST_TURN {
        return None;
    }
    let (before, way) = out.leaves(lines);
    let (after, other) = back.reversed().leaves(lines);
    if edges.first_meeting(before, after).is_some() {
        return None;
    }
    // Across the lines one can step only to a neighbour, save along the edge.
    let step = begin - end;
    let across = cross(step, way).abs();
    let pitch = 2.0 * lines.samples.spacing;
    let along_edge = out.ends_at_edge(lines) && back.reversed().ends_at_edge(lines);
    let crossing = if along_edge {
        0.0
    } else {
        (across - 1.7 * pitch).max(0.0) * 8.0
    };
    // Rather back than on in the same direction.
    let onward = if dot(way, other) < 0.0 { pitch } else { 0.0 };
    let cost = long + crossing + onward;
    (cost <= LONGEST_TURN).then_some(cost)
}
