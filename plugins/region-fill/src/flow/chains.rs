//! Lines strung into chains, each end turning into the beginning of a line nearby.

use crate::flow::edges::Edges;
use crate::flow::streamlines::Streamlines;
use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::geometry::measure::distance;

/// No turn along the edge is longer than this, in mm: a longer one is travelled.
pub const LONGEST_TURN: f64 = 2.5;

/// A part of a line is not cut off shorter than this, in mm.
const SHORTEST_PART: f64 = 3.0;

/// To cut a line in two is worth as much as a turn of this many mm.
const CUT: f64 = 0.9;

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
        lines.lines[self.line].points[self.from]
    }

    /// Where it ends.
    pub fn end(&self, lines: &Streamlines) -> Coord<f64> {
        lines.lines[self.line].points[self.to]
    }

    /// Its points in the order of sewing.
    pub fn points(&self, lines: &Streamlines) -> Vec<Coord<f64>> {
        let points = &lines.lines[self.line].points;
        if self.from <= self.to {
            points[self.from..=self.to].to_vec()
        } else {
            points[self.to..=self.from].iter().rev().copied().collect()
        }
    }

    /// Whether it ends on the region's edge.
    pub fn ends_at_edge(&self, lines: &Streamlines) -> bool {
        let line = &lines.lines[self.line];
        (self.to == 0 && line.at_edge[0]) || (self.to + 1 == line.points.len() && line.at_edge[1])
    }

    /// A little before its end, and the direction it ends in.
    fn leaves(&self, lines: &Streamlines) -> (Coord<f64>, Coord<f64>) {
        let points = &lines.lines[self.line].points;
        let back = if self.from <= self.to {
            self.to.saturating_sub(2).max(self.from)
        } else {
            (self.to + 2).min(self.from)
        };
        let way = points[self.to] - points[back];
        let length = distance(points[self.to], points[back]).max(1e-9);
        (points[back], way / length)
    }
}

/// A stretch of a line that is not in a chain yet, or in which chain it is.
#[derive(Clone, Copy, Debug)]
struct Piece {
    line: usize,
    low: usize,
    high: usize,
    chain: Option<usize>,
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
    pub fn new(lines: &Streamlines, edges: &Edges, first: Coord<f64>, keep_first: bool) -> Self {
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
    fn join(&mut self, lines: &Streamlines, edges: &Edges, keep_first: bool) {
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
        let mut group: Vec<usize> = (0..self.all.len()).collect();
        for (_, a, b) in turns {
            if next[a.0][a.1].is_some() || next[b.0][b.1].is_some() || group[a.0] == group[b.0] {
                continue;
            }
            next[a.0][a.1] = Some(b);
            next[b.0][b.1] = Some(a);
            let (kept, gone) = (group[a.0], group[b.0]);
            for group in &mut group {
                if *group == gone {
                    *group = kept;
                }
            }
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
pub fn turn(lines: &Streamlines, edges: &Edges, out: Run, back: Run) -> Option<f64> {
    let (end, begin) = (out.end(lines), back.begin(lines));
    let long = distance(end, begin);
    if long > LONGEST_TURN {
        return None;
    }
    let (before, way) = out.leaves(lines);
    let (after, other) = back.reversed().leaves(lines);
    if edges.hit(before, after).is_some() {
        return None;
    }
    // Across the lines one can step only to a neighbour, save along the edge.
    let step = begin - end;
    let across = (step.x * way.y - step.y * way.x).abs();
    let pitch = 2.0 * lines.samples.spacing;
    let along_edge = out.ends_at_edge(lines) && back.reversed().ends_at_edge(lines);
    let crossing = if along_edge {
        0.0
    } else {
        (across - 1.7 * pitch).max(0.0) * 8.0
    };
    // Rather back than on in the same direction.
    let onward = if way.x * other.x + way.y * other.y < 0.0 {
        pitch
    } else {
        0.0
    };
    let cost = long + crossing + onward;
    (cost <= LONGEST_TURN).then_some(cost)
}

/// Chains under way.
struct Stringing<'a> {
    lines: &'a Streamlines<'a>,
    edges: &'a Edges,
    pieces: Vec<Piece>,
    of_line: Vec<Vec<usize>>,
    /// The pieces that end in each square of LONGEST_TURN mm.
    ends: std::collections::BTreeMap<(i64, i64), Vec<usize>>,
    chains: Vec<Chain>,
}

impl<'a> Stringing<'a> {
    fn new(lines: &'a Streamlines<'a>, edges: &'a Edges) -> Self {
        let mut stringing = Self {
            lines,
            edges,
            pieces: Vec::new(),
            of_line: vec![Vec::new(); lines.lines.len()],
            ends: std::collections::BTreeMap::new(),
            chains: Vec::new(),
        };
        for (line, its) in lines.lines.iter().enumerate() {
            stringing.add(line, 0, its.points.len() - 1);
        }
        stringing
    }

    fn add(&mut self, line: usize, low: usize, high: usize) {
        let piece = self.pieces.len();
        self.pieces.push(Piece {
            line,
            low,
            high,
            chain: None,
        });
        self.of_line[line].push(piece);
        for place in [low, high] {
            let at = self.lines.lines[line].points[place];
            self.ends.entry(square(at)).or_default().push(piece);
        }
    }

    /// A run over a whole piece.
    fn run(&self, piece: usize, from_low: bool) -> Run {
        let Piece {
            line, low, high, ..
        } = self.pieces[piece];
        let run = Run {
            line,
            from: low,
            to: high,
        };
        if from_low { run } else { run.reversed() }
    }

    /// The piece, and its end, nearest to a place, of those in no chain.
    fn nearest_begin(&self, place: Coord<f64>) -> Option<(usize, bool)> {
        let mut best: Option<(usize, bool, f64)> = None;
        for piece in (0..self.pieces.len()).filter(|&piece| self.pieces[piece].chain.is_none()) {
            for from_low in [true, false] {
                let away = distance(self.run(piece, from_low).begin(self.lines), place);
                if best.is_none_or(|best| away < best.2) {
                    best = Some((piece, from_low, away));
                }
            }
        }
        best.map(|(piece, from_low, _)| (piece, from_low))
    }

    /// Strings a chain from a piece on, as far as it goes, and tells where that is.
    fn string(&mut self, begin: (usize, bool)) -> Coord<f64> {
        let chain = self.chains.len();
        let (mut piece, from_low) = begin;
        let mut run = self.run(piece, from_low);
        let mut runs = vec![run];
        self.pieces[piece].chain = Some(chain);
        while let Some((next, next_run)) = self.next(run) {
            (piece, run) = (next, next_run);
            self.pieces[piece].chain = Some(chain);
            runs.push(run);
        }
        self.chains.push(runs);
        run.end(self.lines)
    }

    /// The run to turn into at the end of `run`.
    fn next(&mut self, run: Run) -> Option<(usize, Run)> {
        let mut best: Option<(f64, usize, Run)> = None;
        let (x, y) = square(run.end(self.lines));
        for key in (y - 1..=y + 1).flat_map(|y| (x - 1..=x + 1).map(move |x| (x, y))) {
            let Some(pieces) = self.ends.get(&key) else {
                continue;
            };
            for &piece in pieces {
                if self.pieces[piece].chain.is_some() {
                    continue;
                }
                for from_low in [true, false] {
                    let back = self.run(piece, from_low);
                    // Most are farther away than the best.
                    let least = best.map_or(f64::INFINITY, |best| best.0);
                    if distance(run.end(self.lines), back.begin(self.lines)) >= least {
                        continue;
                    }
                    if let Some(cost) = turn(self.lines, self.edges, run, back)
                        && cost < least
                    {
                        let cost = cost + self.neighbours_left(back) * self.pitch();
                        if cost < least {
                            best = Some((cost, piece, back));
                        }
                    }
                }
            }
        }
        match best {
            Some((cost, piece, back)) if cost <= CUT => Some((piece, back)),
            _ => self
                .cut(run)
                .or_else(|| best.map(|(_, piece, back)| (piece, back))),
        }
    }

    fn pitch(&self) -> f64 {
        2.0 * self.lines.samples.spacing
    }

    /// On how many sides of a run's beginning lines lie that are in no chain yet. Those with fewer
    /// come first, lest they be left alone (as in H. von Warnsdorff's rule, 1823).
    fn neighbours_left(&self, run: Run) -> f64 {
        let (at, way) = run.reversed().leaves(self.lines);
        let reach = 1.9 * self.pitch();
        let mut sides = [false; 2];
        self.lines.samples.around(at, reach, |sample| {
            let apart = sample.at - at;
            let across = apart.x * way.y - apart.y * way.x;
            let side = usize::from(across > 0.0);
            if sample.line as usize == run.line || sides[side] || distance(sample.at, at) > reach {
                return;
            }
            let place = self.lines.index(sample);
            sides[side] = self.of_line[sample.line as usize].iter().any(|&piece| {
                let piece = self.pieces[piece];
                piece.chain.is_none() && (piece.low..=piece.high).contains(&place)
            });
        });
        sides.iter().filter(|&&left| left).count() as f64
    }

    /// Cuts the line beside the end of `run` in two, and tells the part that leads back.
    fn cut(&mut self, run: Run) -> Option<(usize, Run)> {
        let lines = self.lines;
        let (before, way) = run.leaves(lines);
        let end = run.end(lines);
        let reach = 3.6 * lines.samples.spacing;
        let least = (SHORTEST_PART / lines.samples.spacing) as usize;
        let mut best: Option<(f64, usize, usize)> = None;
        lines.samples.around(end, reach, |sample| {
            let line = sample.line as usize;
            let place = lines.index(sample);
            let away = distance(sample.at, end);
            if away > reach || best.is_some_and(|best| away >= best.0) {
                return;
            }
            let fits = |&&piece: &&usize| {
                let Piece {
                    low, high, chain, ..
                } = self.pieces[piece];
                chain.is_none() && place >= low + least && place + least <= high
            };
            if let Some(&piece) = self.of_line[line].iter().find(fits)
                && self.edges.hit(before, sample.at).is_none()
            {
                best = Some((away, piece, place));
            }
        });
        let (_, piece, place) = best?;
        let Piece {
            line, low, high, ..
        } = self.pieces[piece];
        let points = &lines.lines[line].points;
        let onward = points[place + 1] - points[place];
        let back_is_low = onward.x * way.x + onward.y * way.y > 0.0;
        let run = if back_is_low {
            self.pieces[piece].high = place;
            self.add(line, place + 1, high);
            Run {
                line,
                from: place,
                to: low,
            }
        } else {
            self.pieces[piece].low = place;
            self.add(line, low, place - 1);
            Run {
                line,
                from: place,
                to: high,
            }
        };
        Some((piece, run))
    }
}

fn square(at: Coord<f64>) -> (i64, i64) {
    let place = |v: f64| (v / LONGEST_TURN).floor() as i64;
    (place(at.x), place(at.y))
}
