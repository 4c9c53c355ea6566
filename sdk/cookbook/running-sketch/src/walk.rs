//! The way of one thread along every edge and every line of a part.
//!
//! The thread goes once round the outer edge. Where a line begins there, it goes along the line and back
//! before it goes on. Where the line ends on a hole that was not sewn yet, the hole is sewn in the same
//! way before the thread comes back. So every hole hangs on a line, and the thread ends where it began.

use crate::edges::{Edge, Mark, Part};
use hoopwright_sdk::geometry::geo::{Coord, LineString};
use hoopwright_sdk::geometry::measure::distance;

/// A line there and back stops this far before the other edge, in mm. Were the needle to go down on the
/// edge once more there, three stitches would share one hole.
const SHORT: f64 = 0.6;

/// The thread's way, as pieces of which each begins where the one before ends, unless a hole hangs on
/// nothing. It begins at the place of
/// the outer edge nearest to `from`.
pub(crate) fn thread(part: &Part, from: Option<Coord<f64>>) -> Vec<LineString<f64>> {
    let begin = from.map_or(0.0, |from| part.edges[0].nearest(from).1);
    let mut walk = Walk {
        part,
        line_sewn: vec![false; part.lines.len()],
        edge_begun: vec![false; part.edges.len()],
        way: Vec::new(),
    };
    walk.round(0, begin);
    // A hole so near to other edges that no line led to it: the hoop jumps.
    for edge in 1..part.edges.len() {
        if !walk.edge_begun[edge] {
            walk.round(edge, 0.0);
        }
    }
    walk.way
}

struct Walk<'p> {
    part: &'p Part,
    line_sewn: Vec<bool>,
    edge_begun: Vec<bool>,
    way: Vec<LineString<f64>>,
}

/// An edge that the thread is on its way round.
struct Round {
    edge: usize,
    begin: f64,
    at: f64,
    /// The marks still to come, the next one last.
    marks: Vec<Mark>,
    /// The line that led here and is to be sewn back, from its end `end`.
    back: Option<(usize, usize)>,
}

impl Walk<'_> {
    /// Once round an edge from `begin` mm along it, and whatever hangs on it. Holes wait in a list
    /// rather than in calls: a region may have thousands, one hanging on the other.
    fn round(&mut self, edge: usize, begin: f64) {
        let mut open = vec![self.onto(edge, begin, None)];
        while let Some(mut round) = open.pop() {
            let edge = &self.part.edges[round.edge];
            let Some(mark) = round.marks.pop() else {
                self.way.push(edge.piece(round.at, round.begin));
                if let Some((line, end)) = round.back {
                    self.along(line, end, 0.0);
                }
                continue;
            };
            if self.line_sewn[mark.line] {
                open.push(round);
                continue;
            }
            self.line_sewn[mark.line] = true;
            if mark.along != round.at {
                self.way.push(edge.piece(round.at, mark.along));
            }
            round.at = mark.along;
            open.push(round);
            let far = 1 - mark.end;
            let other = self.part.ends[mark.line][far];
            if self.edge_begun[other] {
                self.along(mark.line, mark.end, SHORT);
                self.back(mark.line, mark.end);
            } else {
                self.along(mark.line, mark.end, 0.0);
                let marks = &self.part.edges[other].marks;
                let here = marks.iter().find(|m| m.line == mark.line && m.end == far);
                let begin = here.map_or(0.0, |here| here.along);
                let onto = self.onto(other, begin, Some((mark.line, far)));
                open.push(onto);
            }
        }
    }

    /// Begins an edge: its marks in the order in which the thread comes by.
    fn onto(&mut self, edge: usize, begin: f64, back: Option<(usize, usize)>) -> Round {
        self.edge_begun[edge] = true;
        let marks = &self.part.edges[edge].marks;
        let first = marks.partition_point(|mark| mark.along < begin);
        let mut marks: Vec<Mark> = marks[first..]
            .iter()
            .chain(&marks[..first])
            .copied()
            .collect();
        marks.reverse();
        Round {
            edge,
            begin,
            at: begin,
            marks,
            back,
        }
    }

    /// Along a line from its end `end`, stopping `short` mm before the other.
    fn along(&mut self, line: usize, end: usize, short: f64) {
        let [from, to] = self.ends(line, end);
        self.way
            .push(LineString::new(vec![from, before(from, to, short)]));
    }

    /// Back along a line that was sewn short, to its end `end`.
    fn back(&mut self, line: usize, end: usize) {
        let [from, to] = self.ends(line, end);
        self.way
            .push(LineString::new(vec![before(from, to, SHORT), from]));
    }

    /// The line's ends on their edges, the one numbered `end` first.
    fn ends(&self, line: usize, end: usize) -> [Coord<f64>; 2] {
        [end, 1 - end].map(|end| self.on_edge(line, end))
    }

    fn on_edge(&self, line: usize, end: usize) -> Coord<f64> {
        let edge: &Edge = &self.part.edges[self.part.ends[line][end]];
        let mark = edge
            .marks
            .iter()
            .find(|mark| mark.line == line && mark.end == end);
        mark.map_or(self.part.lines[line][end], |mark| edge.at(mark.along))
    }
}

/// The place `short` mm before `to` on the way from `from`, but at least half-way.
fn before(from: Coord<f64>, to: Coord<f64>, short: f64) -> Coord<f64> {
    let length = distance(from, to);
    if length <= 0.0 {
        return from;
    }
    from + (to - from) * (1.0 - short / length).max(0.5)
}
