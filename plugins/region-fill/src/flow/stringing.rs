//! Strings lines into chains: from the end of each to the beginning of the next.

use crate::flow::chains::{Chain, LONGEST_TURN, Piece, Run, turn};

use crate::flow::streamlines::Streamlines;
use hoopwright_sdk::geometry::edge_grid::EdgeGrid;
use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::geometry::measure::distance;
use std::collections::BTreeMap;

/// A part of a line is not cut off shorter than this, in mm.
const SHORTEST_PART: f64 = 3.0;

/// To cut a line in two is worth as much as a turn of this many mm.
const CUT: f64 = 0.9;

/// Chains under way.
pub struct Stringing<'a> {
    lines: &'a Streamlines<'a>,
    edges: &'a EdgeGrid,
    /// The stretches of all lines.
    pub pieces: Vec<Piece>,
    /// The places, in `pieces`, of each line's.
    pub of_line: Vec<Vec<usize>>,
    /// The pieces that end in each square of LONGEST_TURN mm.
    ends: BTreeMap<(i64, i64), Vec<usize>>,
    /// What is strung.
    pub chains: Vec<Chain>,
}

impl<'a> Stringing<'a> {
    /// Nothing strung yet.
    pub fn new(lines: &'a Streamlines<'a>, edges: &'a EdgeGrid) -> Self {
        let mut stringing = Self {
            lines,
            edges,
            pieces: Vec::new(),
            of_line: vec![Vec::new(); lines.lines.len()],
            ends: BTreeMap::new(),
            chains: Vec::new(),
        };
        for (line, its) in lines.lines.iter().enumerate() {
            stringing.add(line, 0, its.count() - 1);
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
            let at = self.lines.point(line, place);
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
    pub fn nearest_begin(&self, place: Coord<f64>) -> Option<(usize, bool)> {
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
    pub fn string(&mut self, begin: (usize, bool)) -> Coord<f64> {
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
        self.lines.samples.around(at, reach, |i, sample| {
            let apart = sample.at - at;
            let across = apart.x * way.y - apart.y * way.x;
            let side = usize::from(across > 0.0);
            if sample.line as usize == run.line || sides[side] || distance(sample.at, at) > reach {
                return;
            }
            let place = self.lines.place(sample.line as usize, i);
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
        lines.samples.around(end, reach, |i, sample| {
            let line = sample.line as usize;
            let place = lines.place(line, i);
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
                && self.edges.first_meeting(before, sample.at).is_none()
            {
                best = Some((away, piece, place));
            }
        });
        let (_, piece, place) = best?;
        let Piece {
            line, low, high, ..
        } = self.pieces[piece];
        let onward = lines.point(line, place + 1) - lines.point(line, place);
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
