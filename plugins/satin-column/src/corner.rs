//! Sharp corners of a line: mitred, or capped where the line is narrow, so that crossings stay square to
//! both sides of the corner instead of fanning out around its inside.
//!
//! The arms of a mitre run out into its tip together, in stitches ever shorter. A narrow column has no
//! room for that: one arm runs on, square, to the outer edge, and the other butts against it (common
//! practice of the trade).

use crate::column::Rung;
use crate::rails::RUNG_STEP;
use hoopwright_sdk::geometry::measure::{cross, distance};
use hoopwright_sdk::prelude::*;

/// How far past the mitre line crossings go, along the line, so that no gap opens there, in mm.
const OVERLAP: f64 = 0.25;
/// How far an arm goes on under the one that it butts against, in mm.
const BUTT_OVERLAP: f64 = 0.1;
/// Crossings into a tip stop at this width, in mm.
const NARROWEST: f64 = 0.3;
/// A mitre goes no farther beyond the corner than this, in half-widths; farther out it is cut off.
const LONGEST_TIP: f64 = 1.2;
/// The line that ends an arm cuts off no more of its way than this many times the length of the tip, or half a
/// width where that is more. Of a straight arm a mitre cuts off half as much, and a butt a little less.
const BENT: f64 = 2.0;

/// A corner of a line.
#[derive(Clone, Copy, Debug)]
pub struct Corner {
    at: Coord<f64>,
    /// The direction of the line before the corner.
    into: Coord<f64>,
    /// The direction after it.
    out: Coord<f64>,
}

impl Corner {
    /// Corners that turn by at least this many degrees are mitred.
    pub const SHARP: f64 = 50.0;
    /// Corners of columns up to this wide, in mm, are capped
    const NARROW: f64 = 3.0;
    /// where they turn by at least this many degrees; at less, a mitre's tip is the blunter one.
    const CAPPED: f64 = 60.0;
    /// Corners that turn by more than this many degrees are hairpins: both sides end squarely, one
    /// half a width past the corner, which covers all that a round corner would, the other in it.
    pub const HAIRPIN: f64 = 135.0;

    /// The corner at the second of three places, which differ.
    pub fn at(before: Coord<f64>, at: Coord<f64>, after: Coord<f64>) -> Self {
        let unit = |v: Coord<f64>| v / v.x.hypot(v.y).max(1e-12);
        Self {
            at,
            into: unit(at - before),
            out: unit(after - at),
        }
    }

    /// The same corner, gone round the other way.
    #[must_use]
    pub fn reversed(self) -> Self {
        Self {
            at: self.at,
            into: self.out * -1.0,
            out: self.into * -1.0,
        }
    }

    /// How far it turns, in degrees, without regard to the side.
    pub fn turn(&self) -> f64 {
        self.cross().atan2(self.dot()).to_degrees().abs()
    }

    /// Whether it is to be mitred or capped.
    pub fn is_sharp(&self) -> bool {
        self.turn() >= Self::SHARP
    }

    /// Whether one arm of a column `width` mm wide runs on there, and the other butts against it.
    pub fn is_capped(turn: f64, width: f64) -> bool {
        turn >= Self::CAPPED && width <= Self::NARROW
    }

    fn cross(&self) -> f64 {
        cross(self.into, self.out)
    }

    fn dot(&self) -> f64 {
        self.into.x * self.out.x + self.into.y * self.out.y
    }
}

/// Finishes the end of a ladder in a sharp corner: cuts its rungs off at the line where the other arm
/// takes over, and goes on past the corner as far as that line goes. Where the corner is capped, this
/// arm goes on or, without `caps`, butts against the other; past a hairpin only one goes on.
pub fn finish(rungs: &mut Vec<Rung>, corner: Corner, half: f64, caps: bool) {
    let Corner { at, into, out } = corner;
    let normal = |way: Coord<f64>| Coord {
        x: -way.y,
        y: way.x,
    };
    let across = |x: f64| {
        let reach = normal(into) * half;
        let middle = at + into * x;
        Rung::new(middle + reach, middle - reach)
    };
    let turn = corner.turn();
    if turn > Corner::HAIRPIN {
        if caps {
            extend(rungs, half, |x| Some(stub(across(x), at)));
        }
        return;
    }
    let slope = (turn.to_radians() / 2.0).tan();
    let tip = half * slope;
    let inward = normal(out) * corner.cross().signum();
    let is_capped = Corner::is_capped(turn, 2.0 * half);
    let (line, reach) = if !is_capped {
        let line = Line::new(at + into * OVERLAP, into + out);
        (line, (tip + OVERLAP).min(LONGEST_TIP * half))
    } else if caps {
        // The far edge of the other arm leads from the tip to where it meets this arm's inner edge.
        let inner_end = tip + 2.0 * half / turn.to_radians().tan();
        let line = Line::new(at - inward * half, inward * -1.0);
        (line, tip.min(LONGEST_TIP * half).max(inner_end))
    } else {
        let near_edge = at + inward * (half - BUTT_OVERLAP);
        (Line::new(near_edge, inward * -1.0), 0.0)
    };
    line.cut_off(rungs, at, BENT * half * slope.max(1.0));
    if reach > 0.0 {
        let least = NARROWEST.min(half);
        extend(rungs, reach, |x| {
            let rung = across(x);
            let rung = if is_capped { rung } else { stub(rung, at) };
            line.cut(rung).filter(|rung| rung.width() >= least)
        });
    }
}

/// A line that ends an arm.
struct Line {
    through: Coord<f64>,
    /// Square to it, away from the arm.
    away: Coord<f64>,
}

impl Line {
    fn new(through: Coord<f64>, away: Coord<f64>) -> Self {
        Self { through, away }
    }

    /// Cuts an arm off here, near the corner `at` in which it ends. An arm that lies beyond for more than
    /// `reach` mm of its way stays whole, as at a hairpin: it turned tightly just before the corner, and all
    /// of it may lie beyond.
    fn cut_off(&self, rungs: &mut Vec<Rung>, at: Coord<f64>, reach: f64) {
        let mut pieces = Vec::new();
        let (mut whole, mut before, mut way) = (rungs.len(), at, 0.0);
        for &rung in rungs.iter().rev() {
            let piece = self.cut(rung);
            if piece == Some(rung) {
                break;
            }
            way += distance(before, rung.middle);
            if way > reach {
                return;
            }
            (whole, before) = (whole - 1, rung.middle);
            pieces.extend(piece);
        }
        rungs.truncate(whole);
        rungs.extend(pieces.into_iter().rev());
    }

    /// What of a rung lies on the arm's side, if anything does.
    fn cut(&self, rung: Rung) -> Option<Rung> {
        let beyond = |p: Coord<f64>| {
            let way = p - self.through;
            way.x * self.away.x + way.y * self.away.y
        };
        let (left, right) = (beyond(rung.left), beyond(rung.right));
        if left.max(right) <= 1e-9 {
            return Some(rung);
        }
        if left.min(right) >= 0.0 {
            return None;
        }
        let meet = rung.left + (rung.right - rung.left) * (left / (left - right));
        let (left, right) = if left > 0.0 {
            (meet, rung.right)
        } else {
            (rung.left, meet)
        };
        Some(Rung {
            left,
            right,
            whole: false,
            ..rung
        })
    }
}

/// A rung past the corner where underlay stays back, and ways lead through the corner.
fn stub(rung: Rung, corner: Coord<f64>) -> Rung {
    Rung {
        middle: corner,
        whole: false,
        ..rung
    }
}

/// Adds rungs past the corner until there are no more.
fn extend(rungs: &mut Vec<Rung>, reach: f64, rung_at: impl Fn(f64) -> Option<Rung>) {
    let steps = (reach / RUNG_STEP).ceil().clamp(1.0, 1e4);
    let places = (1..=steps as usize).map(|step| reach * step as f64 / steps);
    rungs.extend(places.map_while(rung_at));
}
