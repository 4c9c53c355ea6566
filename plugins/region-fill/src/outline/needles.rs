//! Needle points along a line that winds beside itself.

use super::near::Grid;
use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::geometry::measure::{distance, nearest_fraction};
use hoopwright_sdk::geometry::resample::{cumulative, place as place_along};
use std::collections::BTreeMap;

/// The line is followed to within this, in mm.
const TOLERANCE: f64 = 0.08;

/// Stitches shorter than `shortest` are made only where the line would else be left by more, in mm.
const COARSE_TOLERANCE: f64 = 0.25;

/// What is short even so gives way where the line is left by no more than this, in mm.
const LAST_TOLERANCE: f64 = 0.35;

/// Even there stitches are longer than this, in mm.
const LEAST: f64 = 0.6;

/// Corners that turn by more than this many degrees get a needle point,
const CORNER: f64 = 35.0;

/// ... as seen over this length to each side, in mm: small arcs are corners as well.
const ABOUT: f64 = 0.3;

/// Needle points of neighbouring turns keep this far from one another where they can, in mm.
const APART: f64 = 1.0;

/// A stitch that may be long is shortened to no less than this share to keep them apart.
const SHORTENED: f64 = 0.7;

/// How many lengths are tried in that range.
const TRIES: u32 = 7;

/// A line with the length up to each corner.
struct Way<'a> {
    corners: &'a [Coord<f64>],
    lengths: Vec<f64>,
}

impl Way<'_> {
    fn place(&self, at: f64) -> Coord<f64> {
        place_along(self.corners, &self.lengths, at)
    }

    /// How far the line between two places strays from the straight stitch.
    fn sag(&self, from: f64, to: f64) -> f64 {
        let (a, b) = (self.place(from), self.place(to));
        let first = self.lengths.partition_point(|&length| length <= from);
        let end = self.lengths.partition_point(|&length| length < to);
        let away = |&p: &Coord<f64>| distance(p, a + (b - a) * nearest_fraction([a, b], p));
        self.corners[first..end.max(first)]
            .iter()
            .map(away)
            .fold(0.0, f64::max)
    }

    /// The longest step from a place that follows the line, and the shortest worth a stitch.
    fn steps(&self, from: f64, longest: f64, shortest: f64) -> (f64, f64) {
        let fits = |step: f64, tolerance: f64| self.sag(from, from + step) <= tolerance;
        let mut step = longest;
        while step > shortest && !fits(step, TOLERANCE) {
            step *= 0.85;
        }
        if step > shortest {
            return (step, shortest);
        }
        // Measured along the line, which is a little longer than the stitch.
        let wanted = shortest * 1.1;
        if fits(wanted, COARSE_TOLERANCE) {
            return (wanted, wanted);
        }
        let mut step = shortest;
        while step > LEAST && !fits(step, COARSE_TOLERANCE) {
            step *= 0.85;
        }
        (step.max(LEAST), LEAST)
    }

    /// Corners that get a needle point, both ends among them: the sharpest first, none that crowds
    /// another.
    fn fixed(&self, shortest: f64) -> Vec<f64> {
        let total = self.lengths[self.lengths.len() - 1];
        let mut sharp = Vec::new();
        for i in 1..self.corners.len() - 1 {
            let (here, at) = (self.corners[i], self.lengths[i]);
            let (from, to) = (self.place(at - ABOUT), self.place(at + ABOUT));
            let (before, after) = (here - from, to - here);
            let lengths = distance(from, here) * distance(here, to);
            if lengths > 0.0 {
                let cos = (before.x * after.x + before.y * after.y) / lengths;
                if cos < CORNER.to_radians().cos() {
                    sharp.push((cos, i));
                }
            }
        }
        sharp.sort_by(|a, b| a.0.total_cmp(&b.0));
        // A number that is not negative compares as its bits do.
        let mut fixed = BTreeMap::from([(0u64, 0.0), (total.to_bits(), total)]);
        for (_, i) in sharp {
            let at = self.lengths[i];
            let crowds = |other: Option<(&u64, &f64)>| {
                other.is_some_and(|(_, &other)| {
                    (at - other).abs() < shortest
                        || distance(self.place(other), self.corners[i]) < LEAST
                })
            };
            let bits = at.to_bits();
            if !crowds(fixed.range(..=bits).next_back()) && !crowds(fixed.range(bits..).next()) {
                fixed.insert(bits, at);
            }
        }
        fixed.into_values().collect()
    }
}

/// Needle points along `line`, from end to end, none farther from the next than `longest` mm and
/// hardly any nearer than `shortest`. On bends they lie closer. Each is set so that it lies away
/// from those of the turns beside it, since holes in a row show as a line across the face.
pub fn place(line: &[Coord<f64>], longest: f64, shortest: f64) -> Vec<Coord<f64>> {
    if line.len() < 2 {
        return Vec::new();
    }
    let way = Way {
        corners: line,
        lengths: cumulative(line),
    };
    let mut taken = Grid::new(line.iter().copied(), APART);
    let mut marks = vec![0.0];
    taken.put(line[0], line[0]);
    for pair in way.fixed(shortest).windows(2) {
        let (mut here, end) = (pair[0], pair[1]);
        while let Some(next) = next(&way, here, end, longest, shortest, &taken) {
            let at = way.place(next);
            taken.put(at, at);
            marks.push(next);
            here = next;
        }
        let at = way.place(end);
        taken.put(at, at);
        marks.push(end);
    }
    for tolerance in [COARSE_TOLERANCE, LAST_TOLERANCE] {
        relieve(&way, longest, shortest, tolerance, &mut marks);
    }
    marks.into_iter().map(|at| way.place(at)).collect()
}

/// Takes out or moves on needle points whose stitch is shorter than `shortest`, where the line is
/// still followed well enough.
fn relieve(way: &Way, longest: f64, shortest: f64, tolerance: f64, marks: &mut Vec<f64>) {
    let chord = |a: f64, b: f64| distance(way.place(a), way.place(b));
    // How far the line is left by going straight; nothing where the stitch would not do.
    let strays = |a: f64, b: f64| {
        let long = chord(a, b);
        (long >= shortest && long <= longest).then(|| way.sag(a, b))
    };
    let mut kept: Vec<f64> = Vec::with_capacity(marks.len());
    let mut rest = marks.iter().copied().peekable();
    while let Some(mark) = rest.next() {
        let Some(&last) = kept.last() else {
            kept.push(mark);
            continue;
        };
        if chord(last, mark) >= shortest {
            kept.push(mark);
            continue;
        }
        let before = kept.len().checked_sub(2).map(|i| kept[i]);
        let after = rest.peek().copied();
        let mut ways: Vec<(f64, Vec<f64>)> = Vec::new();
        let mut offer = |stray: Option<f64>, now: Vec<f64>| {
            ways.extend(
                stray
                    .filter(|&stray| stray <= tolerance)
                    .map(|stray| (stray, now)),
            );
        };
        if let Some(after) = after {
            // Without this one, or this one farther on.
            offer(strays(last, after), vec![last]);
            for step in [0.1, 0.2, 0.3, 0.45, 0.6] {
                let moved = mark + step;
                let stray = strays(last, moved).zip(strays(moved, after).filter(|_| moved < after));
                offer(stray.map(|(a, b)| a.max(b)), vec![last, moved]);
            }
        }
        if let Some(before) = before {
            // Without the one before, or that one farther back.
            offer(strays(before, mark), vec![mark]);
            for step in [0.1, 0.2, 0.3, 0.45, 0.6] {
                let moved = last - step;
                let stray =
                    strays(moved, mark).zip(strays(before, moved).filter(|_| moved > before));
                offer(stray.map(|(a, b)| a.max(b)), vec![moved, mark]);
            }
        }
        match ways.into_iter().min_by(|a, b| a.0.total_cmp(&b.0)) {
            Some((_, now)) => {
                kept.pop();
                kept.extend(now);
            }
            None => kept.push(mark),
        }
    }
    *marks = kept;
}

/// The next needle point before `end`, if one is needed.
fn next(
    way: &Way,
    here: f64,
    end: f64,
    longest: f64,
    shortest: f64,
    taken: &Grid<Coord<f64>>,
) -> Option<f64> {
    let (most, least) = way.steps(here, longest, shortest);
    let left = end - here;
    if left <= most {
        return None;
    }
    if left < 2.0 * least {
        // Too short to be parted, unless it would stray far.
        let parted =
            left > longest || (left > 1.5 * LEAST && way.sag(here, end) > COARSE_TOLERANCE);
        return parted.then_some(here + left / 2.0);
    }
    let most = most.min(left - least);
    let least = least.max(most * SHORTENED).min(most);
    let rate = |step: f64| {
        let place = way.place(here + step);
        let clear = taken
            .around(place)
            .map(|other| distance(place, other))
            .fold(APART, f64::min);
        clear + 0.3 * step / most
    };
    let tries = (0..TRIES).map(|i| most + (least - most) * f64::from(i) / f64::from(TRIES - 1));
    let best = tries
        .map(|step| (rate(step), step))
        .max_by(|a, b| a.0.total_cmp(&b.0))?;
    Some(here + best.1)
}
