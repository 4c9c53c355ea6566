//! Sharp corners of a line: mitred, so that crossings stay square to both sides of the corner
//! instead of fanning out around its inside.

use crate::column::Rung;
use crate::rails::RUNG_STEP;
use hoopwright_sdk::prelude::*;

/// How far past the mitre line crossings go, along the line, so that no gap opens there, in mm.
const OVERLAP: f64 = 0.25;
/// Crossings into a mitre's tip stop at this width, in mm.
const NARROWEST: f64 = 0.6;
/// A mitre goes no farther beyond the corner than this, in half-widths; farther out it is cut off.
const LONGEST_TIP: f64 = 1.2;

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

    /// Whether it is to be mitred.
    pub fn is_sharp(&self) -> bool {
        self.turn() >= Self::SHARP
    }

    fn cross(&self) -> f64 {
        self.into.x * self.out.y - self.into.y * self.out.x
    }

    fn dot(&self) -> f64 {
        self.into.x * self.out.x + self.into.y * self.out.y
    }
}

/// Finishes the end of a ladder in a sharp corner: cuts its rungs off at the mitre line, and goes
/// on past the corner as far as that line goes. Past a hairpin only one side of the corner goes on:
/// that which `caps` it.
pub fn mitre(rungs: &mut Vec<Rung>, corner: Corner, half: f64, caps: bool) {
    let Corner { at, into, .. } = corner;
    let normal = Coord {
        x: -into.y,
        y: into.x,
    };
    let ahead = |place: Coord<f64>| (place.x - at.x) * into.x + (place.y - at.y) * into.y;
    let turn = corner.turn();
    if turn > Corner::HAIRPIN {
        if caps {
            extend(rungs, half, |x| {
                Some(square(at + into * x, at, normal, half, half))
            });
        }
        return;
    }
    let slope = (turn.to_radians() / 2.0).tan();
    let inner_is_left = corner.cross() > 0.0;
    let inner_reach = |x: f64| half.min((OVERLAP - x) / slope);
    for rung in rungs.iter_mut() {
        let own = (rung.width() / 2.0).max(1e-9);
        let reach = inner_reach(ahead(rung.middle));
        if reach >= own.min(half) {
            continue;
        }
        let share = reach.max(-own) / own;
        if inner_is_left {
            rung.left = rung.middle + (rung.left - rung.middle) * share;
        } else {
            rung.right = rung.middle + (rung.right - rung.middle) * share;
        }
        rung.whole = false;
    }
    let tip = (half * slope + OVERLAP).min(LONGEST_TIP * half);
    extend(rungs, tip, |x| {
        let inner = inner_reach(x);
        let (left, right) = if inner_is_left {
            (inner, half)
        } else {
            (half, inner)
        };
        (left + right >= NARROWEST.min(half))
            .then(|| square(at + into * x, at, normal, left, right))
    });
}

fn square(
    on_line: Coord<f64>,
    middle: Coord<f64>,
    normal: Coord<f64>,
    left: f64,
    right: f64,
) -> Rung {
    Rung {
        left: on_line + normal * left,
        right: on_line - normal * right,
        middle,
        whole: false,
    }
}

/// Adds rungs past the corner until there are no more.
fn extend(rungs: &mut Vec<Rung>, reach: f64, rung_at: impl Fn(f64) -> Option<Rung>) {
    let steps = (reach / RUNG_STEP).ceil().clamp(1.0, 1e4);
    let places = (1..=steps as usize).map(|step| reach * step as f64 / steps);
    rungs.extend(places.map_while(rung_at));
}
