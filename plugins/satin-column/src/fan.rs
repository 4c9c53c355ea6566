//! Sharp corners in the ladder of a region. There the rungs fan out about the inside of the
//! corner, where needle points would crowd; instead the column is cut along a line from the inside
//! to the outside of the corner, and crossings stay square to both arms up to that line.
//!
//! Corners that turn by less than [`Corner::SHARP`] are sewn round. Up to [`Fan::MITRED`] the line
//! goes to the tip of the corner: a mitre, to which both arms end alike but for its [`tip`](crate::tip).
//! Beyond that a mitre would be long and thin, and the corner is capped: the longer arm runs on to the
//! edge of the region, and the other ends against it. So it is in narrow columns, which have no room for
//! a mitre: see [`Corner::is_capped`]. (All are common practice of the trade.)

use crate::cap::cap;
use crate::column::{Rung, forward};
use crate::corner::Corner;
use crate::rails::RUNG_STEP;
use crate::ray::first_met;
use crate::tip::Ending;
use crate::zigzag::Side;
use hoopwright_sdk::geometry::measure::{cross, distance, dot, to_edge};
use hoopwright_sdk::geometry::resample::cumulative;
use hoopwright_sdk::prelude::*;

/// The inner edge stands still while it goes on by less than this share of the width.
const STANDING: f64 = 0.12;
/// Beyond the inner place of an arc the outer edge is longer than straight ways to its farthest
/// place; a corner's is not. An outer edge counts as a corner where it lies at least this share of
/// the turn around: an arc has 0.25, a corner 0.5.
const POINTED: f64 = 0.32;
/// A corner has a tip where it reaches out from a round bend by this share of what a sharp one does.
const TIPPED: f64 = 0.7;
/// An arm shorter than this share of the width is no arm.
const LEAST_ARM: f64 = 0.5;
/// Rungs of an arm that runs on are whole while they are as wide as this share of it.
const WHOLE: f64 = 0.95;
/// Both arms must end within this much of each other, in mm, or else the stitch from one to the
/// other would lie open.
const MEETING: f64 = 2.5;
/// Crossings go on past the line between two arms by this much, in mm, so that no gap opens.
const OVERLAP: f64 = 0.15;

/// Rungs that fan out about a place.
#[derive(Clone, Debug)]
pub struct Fan {
    /// The last rung square to the arm before the corner.
    pub first: usize,
    /// The first rung square to the arm after it.
    pub last: usize,
    /// The side about which they fan out.
    inner: Side,
    /// By how much, in degrees.
    turn: f64,
    /// Whether the arm before the corner is the longer one.
    before_is_longer: bool,
    /// The rungs with which both arms end at the line between them: those that follow `first`,
    /// and those that lead to `last`.
    pub finish: (Vec<Rung>, Vec<Rung>),
}

impl Fan {
    /// Corners that turn by more than this many degrees are capped.
    pub const MITRED: f64 = 110.0;
    /// Narrow ones are capped up to this: the butting arm of sharper ones would end in a long point.
    const NARROW_CAPPED: f64 = 100.0;

    /// Whether both arms can be finished so that they end side by side.
    fn can_finish(&mut self, rungs: &[Rung]) -> bool {
        if self.is_narrow_cap(rungs) {
            self.finish = self.finished(rungs, false);
            // The way leads along the end of the arm that runs on, or along its edge.
            return !self.finish.0.is_empty() && !self.finish.1.is_empty();
        }
        let meets = |finish: &(Vec<Rung>, Vec<Rung>)| {
            let (before, after) = (finish.0.last(), finish.1.first());
            before
                .zip(after)
                .is_some_and(|(&before, &after)| meet(before, after))
        };
        let is_mitre = self.turn <= Self::MITRED;
        self.finish = self.finished(rungs, is_mitre);
        if is_mitre && !meets(&self.finish) {
            // Two points always do.
            self.finish = self.finished(rungs, false);
        }
        meets(&self.finish)
    }

    /// Whether the column is so narrow that the corner is capped, and has a tip to cap.
    fn is_narrow_cap(&self, rungs: &[Rung]) -> bool {
        let fan = &rungs[self.first..=self.last];
        let width = fan[0].width().max(fan[fan.len() - 1].width());
        let inner = self.inside_of(&fan[fan.len() / 2]);
        let reach = fan
            .iter()
            .map(|rung| distance(inner, self.outside_of(rung)))
            .fold(0.0, f64::max);
        let sharp = width / (self.turn.to_radians() / 2.0).cos();
        self.turn <= Self::NARROW_CAPPED
            && Corner::is_capped(self.turn, width)
            && reach > width + TIPPED * (sharp - width)
    }

    fn finished(&self, rungs: &[Rung], into_tip: bool) -> (Vec<Rung>, Vec<Rung>) {
        let fan = &rungs[self.first..=self.last];
        let (start, end) = (fan[0], fan[fan.len() - 1]);
        let inner = self.inside_of(&fan[fan.len() / 2]);
        let outer: Vec<Coord<f64>> = fan.iter().map(|rung| self.outside_of(rung)).collect();
        let (into, out_of) = (forward(&start), forward(&end) * -1.0);
        let is_narrow_cap = self.is_narrow_cap(rungs);
        let tip = if self.turn <= Self::MITRED && !is_narrow_cap {
            farthest(&outer)
        } else {
            let runs_on = if self.before_is_longer { into } else { out_of };
            let met = first_met(&outer, inner, runs_on);
            met.map_or_else(
                || farthest(&outer),
                |met| (met.piece + 1, inner + runs_on * met.ahead),
            )
        };
        let (next, tip) = tip;
        let before_tip = outer[..next].iter().copied().chain([tip]);
        let after_tip = [tip].into_iter().chain(outer[next..].iter().copied());
        // Each arm's edge from its outer place to the tip, and back along the line between.
        let before: Vec<Coord<f64>> = before_tip.chain([inner, self.inside_of(&start)]).collect();
        let mut after: Vec<Coord<f64>> = after_tip.collect();
        after.reverse();
        after.extend([inner, self.inside_of(&end)]);
        let middle =
            inner + (tip - inner) * (start.width() / 2.0 / distance(inner, tip).max(1e-9)).min(0.5);
        let line = [inner, tip];
        let turned = match self.inner {
            Side::Left => Side::Right,
            Side::Right => Side::Left,
        };
        let endings = if is_narrow_cap {
            // The arm that runs on lies beside the other already, and is as whole there as elsewhere.
            [0.0, OVERLAP].map(Ending::pointed)
        } else if into_tip {
            let width = start.width().max(end.width());
            let (to_tip, from_tip) = (tip - outer[0], outer[outer.len() - 1] - tip);
            let turn = cross(to_tip, from_tip).atan2(dot(to_tip, from_tip)).abs();
            Ending::in_tip(width, turn, OVERLAP)
        } else {
            [OVERLAP; 2].map(Ending::pointed)
        };
        let [longer, shorter] = &endings;
        let (of_before, of_after) = if self.before_is_longer {
            (longer, shorter)
        } else {
            (shorter, longer)
        };
        let mut before = arm_end(before, self.inner, into, line, middle, of_before);
        let mut after = arm_end(after, turned, out_of, line, middle, of_after);
        let rungs_out = |after: Vec<Rung>| after.into_iter().rev().map(Rung::turned).collect();
        if !is_narrow_cap {
            return (before, rungs_out(after));
        }
        let (runs_on, width) = if self.before_is_longer {
            (&mut before, start.width())
        } else {
            (&mut after, end.width())
        };
        for rung in runs_on.iter_mut().filter(|r| r.width() > WHOLE * width) {
            *rung = Rung::new(rung.left, rung.right);
        }
        (before, rungs_out(after))
    }

    fn inside_of(&self, rung: &Rung) -> Coord<f64> {
        match self.inner {
            Side::Left => rung.left,
            Side::Right => rung.right,
        }
    }

    fn outside_of(&self, rung: &Rung) -> Coord<f64> {
        match self.inner {
            Side::Left => rung.right,
            Side::Right => rung.left,
        }
    }

    /// Whether the outer edge makes a corner too, and is no arc.
    fn is_pointed(&self, rungs: &[Rung]) -> bool {
        let fan = &rungs[self.first..=self.last];
        let outer: Vec<Coord<f64>> = fan.iter().map(|rung| self.outside_of(rung)).collect();
        let (start, end) = (outer[0], outer[outer.len() - 1]);
        let (_, tip) = farthest(&outer);
        let straight = distance(start, end);
        let around = distance(start, tip) + distance(tip, end);
        around * (POINTED * self.turn.to_radians()).cos() > straight
    }
}

/// Whether two arms end so near to each other that one stitch leads over, from whichever side to whichever.
pub fn meet(end: Rung, start: Rung) -> bool {
    let ends = [end.left, end.right];
    let starts = [start.left, start.right];
    let near = |a: Coord<f64>| starts.iter().all(|&b| distance(a, b) < MEETING);
    ends.into_iter().all(near)
}

/// The last rungs of an arm: square to it, and ending on the line between the arms. `edge` leads
/// from the arm's outer place around to its inner place, which lies on the side `inner`.
fn arm_end(
    mut edge: Vec<Coord<f64>>,
    inner: Side,
    outward: Coord<f64>,
    line: [Coord<f64>; 2],
    middle: Coord<f64>,
    ending: &Ending,
) -> Vec<Rung> {
    if inner == Side::Right {
        edge.reverse();
    }
    let rungs = cap(&edge, outward).rungs.into_iter();
    let mut rungs: Vec<Rung> = rungs
        .take_while(|rung| ending.takes(rung))
        .map(|rung| {
            let unit = (rung.right - rung.left) / rung.width();
            let on_line = |p: Coord<f64>| to_edge(p, line) < 1e-6;
            let (mut left, mut right) = (rung.left, rung.right);
            let beyond = unit * ending.beyond(&rung);
            match inner {
                Side::Left if on_line(left) => left = left - beyond,
                Side::Right if on_line(right) => right = right + beyond,
                _ => {}
            }
            Rung {
                left,
                right,
                middle,
                whole: false,
            }
        })
        .collect();
    if ending.reaches_the_tip()
        && let Some(&last) = rungs.last()
    {
        let outer = match inner {
            Side::Left => last.right,
            Side::Right => last.left,
        };
        let tip = last.moved(line[1] - outer);
        rungs.push(Rung { middle, ..tip });
    }
    rungs
}

/// The place of a line farthest from the straight way between its ends, with the number of the
/// corner after it.
fn farthest(line: &[Coord<f64>]) -> (usize, Coord<f64>) {
    let ends = [line[0], line[line.len() - 1]];
    let away = |p: Coord<f64>| to_edge(p, ends);
    let corners = line.iter().copied().enumerate();
    corners
        .max_by(|a, b| away(a.1).total_cmp(&away(b.1)))
        .map_or((0, line[0]), |(i, corner)| (i, corner))
}

/// The sharp corners of a ladder, in order.
pub fn fans(rungs: &[Rung]) -> Vec<Fan> {
    let turns = turns(rungs);
    let middles: Vec<Coord<f64>> = rungs.iter().map(|rung| rung.middle).collect();
    let way = cumulative(&middles);
    let mut found: Vec<Fan> = Vec::new();
    for (inner, sign) in [(Side::Left, 1.0), (Side::Right, -1.0)] {
        let places: Vec<Coord<f64>> = rungs
            .iter()
            .map(|rung| match inner {
                Side::Left => rung.left,
                Side::Right => rung.right,
            })
            .collect();
        let lengths = cumulative(&places);
        let mut end = 0;
        for first in 0..rungs.len() {
            end = end.max(first);
            while end + 1 < rungs.len()
                && lengths[end + 1] - lengths[first] <= STANDING * rungs[first].width()
            {
                end += 1;
            }
            let turn = sign * (turns[end] - turns[first]);
            if turn >= Corner::SHARP.to_radians() && turn < std::f64::consts::PI {
                let (first, last) = tightened(rungs, &turns, sign, first, end);
                found.push(Fan {
                    first,
                    last,
                    inner,
                    turn: turn.to_degrees(),
                    before_is_longer: way[first] >= way[way.len() - 1] - way[last],
                    finish: (Vec::new(), Vec::new()),
                });
            }
        }
    }
    found.sort_by(|a, b| b.turn.total_cmp(&a.turn).then(a.first.cmp(&b.first)));
    let mut kept: Vec<Fan> = Vec::new();
    for mut fan in found {
        let arm = LEAST_ARM * rungs[fan.first].width().max(rungs[fan.last].width());
        let room = way[fan.first].min(way[way.len() - 1] - way[fan.last]);
        if room >= arm
            && kept
                .iter()
                .all(|other| fan.last < other.first || other.last < fan.first)
            && fan.is_pointed(rungs)
            && fan.can_finish(rungs)
        {
            kept.push(fan);
        }
    }
    kept.sort_by_key(|fan| fan.first);
    kept
}

/// How far the rungs have turned up to each of them, in radians.
fn turns(rungs: &[Rung]) -> Vec<f64> {
    let mut so_far = 0.0;
    let mut turns = Vec::with_capacity(rungs.len());
    for (i, rung) in rungs.iter().enumerate() {
        if i > 0 {
            let (a, b) = (forward(&rungs[i - 1]), forward(rung));
            so_far += cross(a, b).atan2(a.x * b.x + a.y * b.y);
        }
        turns.push(so_far);
    }
    turns
}

/// A fan without rungs at its ends that hardly turn.
fn tightened(
    rungs: &[Rung],
    turns: &[f64],
    sign: f64,
    mut first: usize,
    mut last: usize,
) -> (usize, usize) {
    let hardly = 0.3 * RUNG_STEP / rungs[first].width().max(0.1);
    while first + 1 < last && sign * (turns[first + 1] - turns[first]) < hardly {
        first += 1;
    }
    while first + 1 < last && sign * (turns[last] - turns[last - 1]) < hardly {
        last -= 1;
    }
    (first, last)
}
