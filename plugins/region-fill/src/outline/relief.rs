//! Short stitches relieved: needle points taken out or moved on.

use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::geometry::measured::Measured;

/// How far the line may be left for it in mm, the little tried first.
const TOLERANCES: [f64; 3] = [0.2, 0.3, 0.45];

/// Where still more than one stitch in a hundred is short: in middles and at the ends of narrow
/// arms, about which other lines lie close.
const LAST_TOLERANCE: f64 = 0.6;
const ONE_IN: usize = 100;

/// No stitch stays that is shorter than this in mm, if it can be helped by leaving the line by less
/// than the other.
const LEAST: f64 = 0.5;
const LEAST_TOLERANCE: f64 = 1.0;

/// Nearer than this to the line a stitch keeps to the region as the line does, in mm.
const CLOSE: f64 = 0.1;

/// How far a needle point is moved along the line, in mm.
const MOVES: [f64; 6] = [0.1, 0.2, 0.3, 0.45, 0.6, 0.8];

/// Takes out or moves on needle points whose stitch is shorter than `shortest`, where the line is
/// still followed well enough and the stitches are what `allow` lets pass.
pub fn relieve(
    way: &Measured,
    longest: f64,
    shortest: f64,
    allow: &dyn Fn(Coord<f64>, Coord<f64>) -> bool,
    marks: &mut Vec<f64>,
) {
    for tolerance in TOLERANCES {
        pass(way, (shortest, longest), tolerance, allow, marks);
    }
    let steps = marks.windows(2);
    let short = steps.filter(|step| way.chord(step[0], step[1]) < shortest);
    // A shape of fewer stitches would lose its form.
    if marks.len() >= ONE_IN && short.count() > marks.len() / ONE_IN {
        pass(way, (shortest, longest), LAST_TOLERANCE, allow, marks);
    }
    pass(way, (LEAST, longest), LEAST_TOLERANCE, allow, marks);
}

/// Goes along the line once, changing what leaves it by no more than `tolerance`.
fn pass(
    way: &Measured,
    (shortest, longest): (f64, f64),
    tolerance: f64,
    allow: &dyn Fn(Coord<f64>, Coord<f64>) -> bool,
    marks: &mut Vec<f64>,
) {
    // How far the line is left by going straight; nothing where the stitch would not do.
    let strays = |from: f64, to: f64| {
        let (a, b) = (way.place(from), way.place(to));
        let long = distance(a, b);
        if from >= to || long < shortest || long > longest {
            return None;
        }
        let sag = way.sag(from, to);
        (sag <= tolerance && (sag < CLOSE || allow(a, b))).then_some(sag)
    };
    let mut kept: Vec<f64> = Vec::with_capacity(marks.len());
    let mut i = 0;
    while i < marks.len() {
        let mark = marks[i];
        i += 1;
        if kept
            .last()
            .is_none_or(|&last| way.chord(last, mark) >= shortest)
        {
            kept.push(mark);
            continue;
        }
        let Some(change) = best_change(&kept, mark, &marks[i..], &strays) else {
            kept.push(mark);
            continue;
        };
        kept.truncate(kept.len() - change.back);
        kept.extend(change.moved);
        i += change.on;
    }
    *marks = kept;
}

/// What is done about a short stitch.
#[derive(Clone, Debug)]
struct Change {
    stray: f64,
    /// How many needle points before it go.
    back: usize,
    /// Those that come instead, with its own end or without.
    moved: Vec<f64>,
    /// How many needle points after it go.
    on: usize,
}

/// The change that leaves the line least, about the stitch from the last of `kept` to `mark`,
/// which `rest` follows.
fn best_change(
    kept: &[f64],
    mark: f64,
    rest: &[f64],
    strays: &dyn Fn(f64, f64) -> Option<f64>,
) -> Option<Change> {
    let mut changes = Vec::new();
    let mut offer = |stray: Option<f64>, back: usize, moved: Vec<f64>, on: usize| {
        changes.extend(stray.map(|stray| Change {
            stray,
            back,
            moved,
            on,
        }));
    };
    let both = |a: Option<f64>, b: Option<f64>| Some(a?.max(b?));
    let before = |steps: usize| kept.len().checked_sub(1 + steps).map(|i| kept[i]);
    let last = before(0)?;
    for (on, &after) in rest.iter().take(2).enumerate() {
        offer(strays(last, after), 0, vec![], on);
        for by in MOVES {
            let moved = mark + by;
            let stray = both(strays(last, moved), strays(moved, after));
            offer(stray, 0, vec![moved], on);
        }
    }
    if let Some(before) = before(1) {
        offer(strays(before, mark), 1, vec![mark], 0);
        for by in MOVES {
            let moved = last - by;
            offer(
                both(strays(before, moved), strays(moved, mark)),
                1,
                vec![moved, mark],
                0,
            );
        }
    }
    // One between them for both.
    if let (Some(before), Some(&after)) = (before(1), rest.first()) {
        let middle = (last + mark) / 2.0;
        let stray = both(strays(before, middle), strays(middle, after));
        offer(stray, 1, vec![middle], 0);
    }
    if let Some(before) = before(2) {
        offer(strays(before, mark), 2, vec![mark], 0);
    }
    changes
        .into_iter()
        .min_by(|a, b| a.stray.total_cmp(&b.stray))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_short_stitch_gives_way_and_the_corner_stays() {
        let at = |x: f64, y: f64| Coord { x, y };
        let line = [at(0., 0.), at(3., 0.), at(3., 3.)];
        let way = Measured::new(line.to_vec());
        let change = best_change(&[0.0, 2.5], 3.0, &[6.0], &|a, b| Some(way.sag(a, b)));
        let change = change.expect("it can be relieved");
        assert_eq!((change.back, change.moved), (1, vec![3.0]));
    }

    #[test]
    fn what_would_leave_the_region_stays() {
        let at = |x: f64, y: f64| Coord { x, y };
        let line = [at(0., 0.), at(3., 0.), at(3., 0.7), at(0., 0.7)];
        let way = Measured::new(line.to_vec());
        let mut marks = vec![0.0, 3.0, 3.7, 6.7];
        relieve(&way, 4.0, 1.0, &|_, _| false, &mut marks);
        assert_eq!(marks, [0.0, 3.0, 3.7, 6.7]);
    }
}
