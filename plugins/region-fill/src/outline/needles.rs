//! Needle points along a line that winds beside itself.

use super::near::Grid;
use super::relief::relieve;
use super::way::{COARSE_TOLERANCE, LEAST, fixed, steps};
use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::geometry::measured::Measured;

/// Needle points of neighbouring turns keep this far from one another where they can, in mm.
const APART: f64 = 1.0;

/// A stitch that may be long is shortened to no less than this share to keep them apart.
const SHORTENED: f64 = 0.7;

/// How many lengths are tried in that range.
const TRIES: u32 = 7;

/// Needle points along `line`, from end to end, none farther from the next than `longest` mm and
/// hardly any nearer than `shortest`. On bends they lie closer. Each is set so that it lies away
/// from those of the turns beside it, since holes in a row show as a line across the face.
/// `allow` says whether a straight stitch keeps to the region.
pub fn place(
    line: &[Coord<f64>],
    longest: f64,
    shortest: f64,
    allow: &dyn Fn(Coord<f64>, Coord<f64>) -> bool,
) -> Vec<Coord<f64>> {
    if line.len() < 2 {
        return Vec::new();
    }
    let way = Measured::new(line.to_vec());
    let mut taken = Grid::new(line.iter().copied(), APART);
    let mut marks = vec![0.0];
    taken.put(line[0], line[0]);
    for pair in fixed(&way, shortest).windows(2) {
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
    relieve(&way, longest, shortest, allow, &mut marks);
    marks.into_iter().map(|at| way.place(at)).collect()
}

/// The next needle point before `end`, if one is needed.
fn next(
    way: &Measured,
    here: f64,
    end: f64,
    longest: f64,
    shortest: f64,
    taken: &Grid<Coord<f64>>,
) -> Option<f64> {
    let (most, least) = steps(way, here, longest, shortest);
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
