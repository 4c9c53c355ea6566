//! What the cover leaves bare, and stitches that go out to it and back.
//!
//! Rows end beside notches, round tips and in bands narrower than a stitch, where needle points had
//! to give way to one another. Each stitch hides a band of its own width; what no band hides of a
//! line is bare, and bare pieces of neighbouring lines make a patch.

mod lines;
mod patch;

use crate::bare::lines::{Hidden, Lines};
use crate::bare::patch::Patch;
use crate::ground::Ground;
use crate::seam::{Allow, NeedlePoint};
use crate::short::LEAST;
use hoopwright_sdk::StitchRole;
use hoopwright_sdk::geometry::geo::{Coord, Polygon};
use hoopwright_sdk::geometry::measure::{distance, lesser};

/// Rows farther apart than this are meant to show the cloth, in mm.
const OPEN: f64 = 0.3;

/// After so many rounds what is still bare cannot be reached.
const ROUNDS: usize = 6;

/// What a stitch must hide to be worth its thread, in mm² for each mm; and more if it is shorter than is safe.
const THREAD_COSTS: f64 = 0.004;
const SHORT_COSTS: f64 = 0.03;
const SAFE: f64 = 1.0;

/// The same for each mm where rows are asked for farther apart than [`SPARING_FROM`] mm: whoever opens the density
/// spares thread, and where layers meet each mm more makes a heap.
const THREAD_COSTS_SPARING: f64 = 0.08;
const SPARING_FROM: f64 = 0.205;

/// A needle point this far away serves as a patch's stitch's start, in mm.
const FARTHEST: f64 = 4.0;

/// Adds stitches of the cover of `polygon`, at most `longest` mm long, over what it leaves bare between rows
/// asked for `asked` mm apart. Each goes out from a needle point and back to it, so that nothing else changes.
pub fn mend(
    points: &mut Vec<NeedlePoint>,
    polygon: &Polygon<f64>,
    ground: &Ground,
    asked: f64,
    longest: f64,
    allow: &Allow,
) {
    let pitch = ground.rows.sewn_pitch();
    if !ground.rows.all_sewn() || pitch > OPEN {
        return;
    }
    let Some(lines) = Lines::new(polygon, &ground.frame, pitch) else {
        return;
    };
    let costs = if asked > SPARING_FROM {
        THREAD_COSTS_SPARING
    } else {
        THREAD_COSTS
    };
    let mut hidden = Hidden::by(points, &lines);
    for _ in 0..ROUNDS {
        let patches = Patch::worth_mending(&hidden, &lines);
        let mut spikes = spikes(&patches, points, &lines, costs, longest, allow);
        if spikes.is_empty() {
            break;
        }
        spikes.sort_by_key(|&(after, _)| after);
        let mut spikes = spikes.into_iter().peekable();
        let old = std::mem::take(points);
        for (i, point) in old.into_iter().enumerate() {
            points.push(point);
            if let Some((_, at)) = spikes.next_if(|&(after, _)| after == i) {
                let cover = |at| NeedlePoint {
                    at,
                    role: StitchRole::Cover,
                    place_matters: true,
                };
                points.extend([cover(at), cover(point.at)]);
                hidden.add([point.at, at], &lines);
            }
        }
        hidden.settle();
    }
}

/// For each patch that can be reached, a needle point and where a stitch goes from it.
fn spikes(
    patches: &[Patch],
    points: &[NeedlePoint],
    lines: &Lines,
    costs: f64,
    longest: f64,
    allow: &Allow,
) -> Vec<(usize, Coord<f64>)> {
    if patches.is_empty() {
        return Vec::new();
    }
    let rows = &lines.rows;
    let row_of = |at: Coord<f64>| {
        let row = ((at.y - rows.y(0)) / rows.pitch()).round().max(0.0) as usize;
        row.min(rows.count() - 1)
    };
    // The needle points of the cover by scan line, in the frame.
    let mut in_row: Vec<Vec<(usize, Coord<f64>)>> = vec![Vec::new(); rows.count()];
    for (i, point) in points.iter().enumerate() {
        if point.role == StitchRole::Cover {
            let at = lines.frame.enter(point.at);
            in_row[row_of(at)].push((i, at));
        }
    }
    let mut used = vec![false; points.len()];
    let mut spikes = Vec::new();
    let far = lesser(longest, FARTHEST);
    for patch in patches {
        let targets = patch.targets(lines);
        let area = patch.area(lines);
        let near = (far / rows.pitch()).ceil() as usize;
        let (first, last) = patch.rows();
        let around = first.saturating_sub(near)..(last + near + 1).min(rows.count());
        let mut most = 0.0;
        let mut best = None;
        for &(i, at) in in_row[around].iter().flatten().filter(|(i, _)| !used[*i]) {
            for &target in &targets {
                let long = distance(at, target);
                if !(LEAST..=far).contains(&long) {
                    continue;
                }
                let short = if long < SAFE { SHORT_COSTS } else { 0.0 };
                let costs = costs * long + short;
                // It hides no more than all.
                if area - costs <= most {
                    continue;
                }
                let gain = patch.hidden_by([at, target], lines) - costs;
                if gain > most && allow(points[i].at, lines.frame.leave(target), StitchRole::Cover)
                {
                    most = gain;
                    best = Some((i, target));
                }
            }
        }
        if let Some((i, target)) = best {
            used[i] = true;
            spikes.push((i, lines.frame.leave(target)));
        }
    }
    spikes
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_sdk::geometry::geo::polygon;

    fn points(rows: impl IntoIterator<Item = [(f64, f64); 2]>) -> Vec<NeedlePoint> {
        let places = rows.into_iter().flatten();
        places
            .map(|(x, y)| NeedlePoint {
                at: Coord { x, y },
                role: StitchRole::Cover,
                place_matters: true,
            })
            .collect()
    }

    /// How many patches of `polygon` are worth a stitch before and after mending it.
    fn mended(polygon: &Polygon<f64>, mut points: Vec<NeedlePoint>) -> [usize; 2] {
        let ground = Ground::new(polygon, 0.0, 0.2).expect("it has rows");
        let lines = Lines::new(polygon, &ground.frame, 0.2).expect("it has lines");
        let bare = |points: &[NeedlePoint]| {
            Patch::worth_mending(&Hidden::by(points, &lines), &lines).len()
        };
        let before = bare(&points);
        mend(&mut points, polygon, &ground, 0.2, 4.0, &|_, _, _| true);
        [before, bare(&points)]
    }

    #[test]
    fn a_bare_half_is_mended() {
        let square = polygon![(x: 0., y: 0.), (x: 3., y: 0.), (x: 3., y: 2.), (x: 0., y: 2.)];
        // Every row stops at the middle.
        let rows = (0..10).map(|row| {
            let y = 0.1 + 0.2 * f64::from(row);
            let (from, to) = if row % 2 == 0 { (0.0, 1.5) } else { (1.5, 0.0) };
            [(from, y), (to, y)]
        });
        assert_eq!(mended(&square, points(rows)), [1, 0]);
    }

    /// Rows 0.6 mm apart leave 0.15 mm bare, narrower than the rows are apart: no row lies there.
    #[test]
    fn a_slit_between_rows_is_mended() {
        let band = polygon![(x: 0., y: 0.), (x: 3., y: 0.), (x: 3., y: 0.9), (x: 0., y: 0.9)];
        let rows = points([[(0.0, 0.15), (3.0, 0.15)], [(3.0, 0.75), (0.0, 0.75)]]);
        assert_eq!(mended(&band, rows), [1, 0]);
    }
}
