//! The order and the direction of lines, so that the way between them is short: the nearest end
//! first, then pairs of gaps exchanged while that helps (2-opt).

use crate::chain::TOUCH;
use crate::drawn::Drawn;
use geometry::measure::{distance, nearest_fraction};
use hoopwright_sdk::prelude::*;

/// What a gap costs beside its length, in mm: it wants a jump, mostly a trim.
const JUMP: f64 = 5.0;

/// Up to this many lines, every end of every line is tried as the beginning.
const TRY_EVERY_START: usize = 48;

/// Up to this many lines, the order is improved after the nearest-end rule.
const IMPROVE: usize = 600;

/// Sweeps over all pairs of gaps. Each one that changes something shortens the way.
const SWEEPS: usize = 30;

/// Where the lines should begin and end, if that matters.
#[derive(Clone, Copy, Debug, Default)]
pub struct Ends {
    /// Where the first line should begin.
    pub start: Option<Coord<f64>>,
    /// Where the last line should end.
    pub finish: Option<Coord<f64>>,
}

/// The lines in sewing order, each turned the way it is sewn, a closed one begun at the place
/// nearest to the line before. With `returns`, an open line ends where it begins.
pub fn plan(lines: &[Drawn], ends: Ends, returns: bool) -> Vec<Drawn> {
    let planner = Planner::new(lines, ends, returns);
    let mut legs = planner.nearest_first();
    if legs.len() <= IMPROVE {
        planner.improve(&mut legs);
    }
    planner.enter_anew(&mut legs);
    legs.iter().map(|leg| leg.line(&lines[leg.line])).collect()
}

/// One line as it is sewn.
#[derive(Clone, Copy, Debug)]
struct Leg {
    line: usize,
    reversed: bool,
    /// On which edge of a closed line it is begun.
    edge: usize,
    from: Coord<f64>,
    to: Coord<f64>,
}

impl Leg {
    fn reverse(&mut self) {
        self.reversed = !self.reversed;
        std::mem::swap(&mut self.from, &mut self.to);
    }

    fn line(&self, drawn: &Drawn) -> Drawn {
        let mut corners = drawn.corners.clone();
        if drawn.closed {
            // Begun at `from`: the rest of the ring, and round to `from` again.
            corners.pop();
            let next = (self.edge + 1) % corners.len().max(1);
            corners.rotate_left(next);
            corners.insert(0, self.from);
            corners.push(self.from);
            corners.dedup();
        }
        if self.reversed {
            corners.reverse();
        }
        Drawn {
            corners,
            closed: drawn.closed,
        }
    }
}

struct Planner<'a> {
    lines: &'a [Drawn],
    boxes: Vec<[Coord<f64>; 2]>,
    ends: Ends,
    returns: bool,
}

impl<'a> Planner<'a> {
    fn new(lines: &'a [Drawn], ends: Ends, returns: bool) -> Self {
        let boxes = lines.iter().map(bounds).collect();
        Self {
            lines,
            boxes,
            ends,
            returns,
        }
    }

    /// The nearest end first, from the wanted start or from the best of all ends.
    fn nearest_first(&self) -> Vec<Leg> {
        if let Some(start) = self.ends.start {
            return self.nearest_first_from(start);
        }
        if let Some(finish) = self.ends.finish {
            let mut legs = self.nearest_first_from(finish);
            legs.reverse();
            if !self.returns {
                legs.iter_mut().for_each(Leg::reverse);
            }
            return legs;
        }
        let tried = if self.lines.len() <= TRY_EVERY_START {
            self.lines.len()
        } else {
            1
        };
        let starts = self.lines[..tried].iter();
        let starts = starts.flat_map(|line| [line.corners.first(), line.corners.last()]);
        let mut best: Option<(f64, Vec<Leg>)> = None;
        for &start in starts.flatten() {
            let legs = self.nearest_first_from(start);
            let cost = self.cost(&legs);
            if best.as_ref().is_none_or(|(least, _)| cost < *least) {
                best = Some((cost, legs));
            }
        }
        best.map(|(_, legs)| legs).unwrap_or_default()
    }

    fn nearest_first_from(&self, start: Coord<f64>) -> Vec<Leg> {
        let mut left: Vec<usize> = (0..self.lines.len()).collect();
        let mut legs = Vec::with_capacity(left.len());
        let mut here = start;
        while !left.is_empty() {
            let mut nearest: Option<(f64, usize, Leg)> = None;
            for (place, &line) in left.iter().enumerate() {
                let least = nearest.as_ref().map_or(f64::INFINITY, |(least, ..)| *least);
                if from_box(here, self.boxes[line]) >= least {
                    continue;
                }
                let leg = self.enter(line, here);
                let way = distance(here, leg.from);
                if way < least {
                    nearest = Some((way, place, leg));
                }
            }
            let Some((_, place, leg)) = nearest else {
                break;
            };
            left.remove(place);
            here = leg.to;
            legs.push(leg);
        }
        legs
    }

    /// How `line` is begun from `here`.
    fn enter(&self, line: usize, here: Coord<f64>) -> Leg {
        let drawn = &self.lines[line];
        let (first, last) = (drawn.corners[0], drawn.corners[drawn.corners.len() - 1]);
        if drawn.closed {
            let (edge, from) = nearest_edge(&drawn.corners, here);
            return Leg {
                line,
                reversed: false,
                edge,
                from,
                to: from,
            };
        }
        let reversed = distance(here, last) < distance(here, first);
        let (from, far) = if reversed {
            (last, first)
        } else {
            (first, last)
        };
        Leg {
            line,
            reversed,
            edge: 0,
            from,
            to: if self.returns { from } else { far },
        }
    }

    /// Closed lines, and those that return, are begun where the line before ends.
    fn enter_anew(&self, legs: &mut [Leg]) {
        let mut here = self.ends.start;
        for leg in legs {
            if let Some(here) = here
                && (self.lines[leg.line].closed || self.returns)
            {
                *leg = self.enter(leg.line, here);
            }
            here = Some(leg.to);
        }
    }

    fn cost(&self, legs: &[Leg]) -> f64 {
        (0..=legs.len())
            .map(|gap| self.gap(end_of(legs, gap), start_of(legs, gap), gap, legs.len()))
            .sum()
    }

    /// The cost of gap number `gap`, which lies before the leg of that number.
    fn gap(
        &self,
        end: Option<Coord<f64>>,
        start: Option<Coord<f64>>,
        gap: usize,
        legs: usize,
    ) -> f64 {
        let end = if gap == 0 { self.ends.start } else { end };
        let start = if gap == legs { self.ends.finish } else { start };
        let (Some(end), Some(start)) = (end, start) else {
            return 0.0;
        };
        let way = distance(end, start);
        let jumps = way > TOUCH && gap > 0 && gap < legs;
        if jumps { way + JUMP } else { way }
    }

    /// Turns series of legs round as long as that shortens the way.
    fn improve(&self, legs: &mut [Leg]) {
        let count = legs.len();
        for _ in 0..SWEEPS {
            let mut better = false;
            for first in 0..count {
                for last in first..count {
                    let (from, to) = (end_of(legs, first), start_of(legs, last + 1));
                    let (head, tail) = (Some(legs[first].from), Some(legs[last].to));
                    let before =
                        self.gap(from, head, first, count) + self.gap(tail, to, last + 1, count);
                    // A leg that returns has the same place at both ends, so this holds for it too.
                    let after =
                        self.gap(from, tail, first, count) + self.gap(head, to, last + 1, count);
                    if after < before - 1e-9 {
                        legs[first..=last].reverse();
                        legs[first..=last].iter_mut().for_each(Leg::reverse);
                        better = true;
                    }
                }
            }
            if !better {
                break;
            }
        }
    }
}

fn end_of(legs: &[Leg], gap: usize) -> Option<Coord<f64>> {
    Some(legs.get(gap.checked_sub(1)?)?.to)
}

fn start_of(legs: &[Leg], gap: usize) -> Option<Coord<f64>> {
    Some(legs.get(gap)?.from)
}

fn bounds(line: &Drawn) -> [Coord<f64>; 2] {
    let far = f64::INFINITY;
    let (mut least, mut greatest) = (Coord { x: far, y: far }, Coord { x: -far, y: -far });
    for corner in &line.corners {
        least = Coord {
            x: least.x.min(corner.x),
            y: least.y.min(corner.y),
        };
        greatest = Coord {
            x: greatest.x.max(corner.x),
            y: greatest.y.max(corner.y),
        };
    }
    [least, greatest]
}

fn from_box(p: Coord<f64>, [least, greatest]: [Coord<f64>; 2]) -> f64 {
    let inside = Coord {
        x: p.x.clamp(least.x, greatest.x),
        y: p.y.clamp(least.y, greatest.y),
    };
    distance(p, inside)
}

/// The edge of a line that comes nearest to `p`, and where. Of equals the first.
fn nearest_edge(corners: &[Coord<f64>], p: Coord<f64>) -> (usize, Coord<f64>) {
    let mut nearest = (f64::INFINITY, 0, corners[0]);
    for (edge, pair) in corners.windows(2).enumerate() {
        let along = nearest_fraction([pair[0], pair[1]], p);
        // A corner itself, not what arithmetic makes of it: it must not come twice.
        let place = if along >= 1.0 {
            pair[1]
        } else {
            pair[0] + (pair[1] - pair[0]) * along
        };
        let apart = distance(p, place);
        if apart < nearest.0 {
            nearest = (apart, edge, place);
        }
    }
    (nearest.1, nearest.2)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(corners: &[(f64, f64)]) -> Drawn {
        let corners: Vec<Coord<f64>> = corners.iter().map(|&(x, y)| Coord { x, y }).collect();
        let closed = corners.first() == corners.last();
        Drawn { corners, closed }
    }

    fn travel(lines: &[Drawn]) -> f64 {
        lines
            .windows(2)
            .map(|pair| {
                let end = pair[0].corners[pair[0].corners.len() - 1];
                distance(end, pair[1].corners[0])
            })
            .sum()
    }

    #[test]
    fn lines_are_turned_so_that_ends_meet() {
        let lines = [
            line(&[(20., 0.), (10., 0.)]),
            line(&[(0., 0.), (10., 0.)]),
            line(&[(20., 0.), (30., 0.)]),
        ];
        let planned = plan(&lines, Ends::default(), false);
        assert_eq!(travel(&planned), 0.0);
        assert_eq!(planned.len(), 3);
    }

    #[test]
    fn the_wanted_start_and_finish_are_kept() {
        let lines = [line(&[(0., 0.), (10., 0.)]), line(&[(0., 5.), (10., 5.)])];
        let start = Some(Coord { x: 11., y: 5. });
        let planned = plan(
            &lines,
            Ends {
                start,
                finish: None,
            },
            false,
        );
        assert_eq!(planned[0].corners[0], Coord { x: 10., y: 5. });
        let planned = plan(
            &lines,
            Ends {
                start: None,
                finish: start,
            },
            false,
        );
        assert_eq!(planned[1].corners[1], Coord { x: 10., y: 5. });
    }

    #[test]
    fn a_ring_is_begun_at_the_place_nearest_to_the_start() {
        let ring = line(&[(0., 0.), (10., 0.), (10., 10.), (0., 10.), (0., 0.)]);
        let start = Some(Coord { x: 4., y: -3. });
        let begun = &plan(
            std::slice::from_ref(&ring),
            Ends {
                start,
                finish: None,
            },
            false,
        )[0];
        assert_eq!(begun.corners[0], Coord { x: 4., y: 0. });
        assert_eq!(begun.corners.last(), begun.corners.first());
        assert!((begun.length() - 40.0).abs() < 1e-9);
    }

    /// From the middle of a row the nearest-end rule leaves one side behind.
    #[test]
    fn exchanging_gaps_beats_the_nearest_end() {
        let lines: Vec<Drawn> = (0..100)
            .map(|i| f64::from((i * 37) % 100) * 3.0)
            .map(|x| line(&[(x, 0.), (x + 1.0, 0.)]))
            .collect();
        assert!((travel(&plan(&lines, Ends::default(), false)) - 198.0).abs() < 1e-6);
    }
}
