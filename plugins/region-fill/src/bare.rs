//! What the cover leaves bare, seen along the scan lines, and stitches that go out to it and back.
//!
//! Rows end beside notches, round tips and in bands narrower than a stitch, where needle points had
//! to give way to one another. Each stitch hides a band of its own width; what no band hides of a
//! scan line is bare, and bare pieces of neighbouring lines make a patch.

use crate::ground::Ground;
use crate::ground::rows::Rows;
use crate::seam::{Allow, NeedlePoint};
use crate::short::LEAST;
use hoopwright_sdk::geometry::geo::Coord;
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::{StitchRole, THREAD_REACH};

/// A thread hides this much to each side, as a share of the distance between rows: what it does where
/// rows lie 0.2 mm apart, at a density of 0.4, line 1 to line 3. A bound in mm for wider rows, which
/// small regions have too, left outline fills more cloth than it hid.
const HIDES: f64 = THREAD_REACH / 0.2;

/// Rows farther apart than this are meant to show the cloth, in mm.
const OPEN: f64 = 0.3;

/// Pieces of a scan line shorter than this are not seen, in mm.
const SHORTEST_PIECE: f64 = 0.1;

/// Patches smaller than this share of the region stay bare, but for the bounds below, in mm².
const SMALLEST_SHARE: f64 = 2e-4;
const SMALLEST: f64 = 0.008;
const LARGEST_LEFT: f64 = 0.03;

/// After so many rounds what is still bare cannot be reached.
const ROUNDS: usize = 6;

/// What a stitch must hide to be worth its thread, in mm² for each mm; and more if it is shorter than is safe.
const THREAD_COSTS: f64 = 0.004;
const SHORT_COSTS: f64 = 0.02;
const SAFE: f64 = 1.0;

/// The same for each mm where rows are asked for farther apart than [`SPARING_FROM`] mm: whoever opens the density
/// spares thread, and where layers meet each mm more makes a heap.
const THREAD_COSTS_SPARING: f64 = 0.04;
const SPARING_FROM: f64 = 0.205;

/// A needle point this far away serves as a patch's stitch's start, in mm.
const FARTHEST: f64 = 4.0;

/// Adds stitches of the cover, at most `longest` mm long, over what it leaves bare between rows asked for
/// `asked` mm apart. Each goes out from a needle point and back to it, so that nothing else changes.
pub fn mend(
    points: &mut Vec<NeedlePoint>,
    ground: &Ground,
    asked: f64,
    longest: f64,
    allow: &Allow,
) {
    let pitch = ground.rows.sewn_pitch();
    if !ground.rows.all_sewn() || pitch > OPEN {
        return;
    }
    let costs = if asked > SPARING_FROM {
        THREAD_COSTS_SPARING
    } else {
        THREAD_COSTS
    };
    let mut hidden = Hidden::by(points, ground);
    for _ in 0..ROUNDS {
        let patches = patches(&hidden, ground);
        let mut spikes = spikes(&patches, points, ground, costs, longest, allow);
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
                hidden.add([point.at, at], ground);
            }
        }
        hidden.settle();
    }
}

/// A bare piece of a scan line, in the frame.
#[derive(Clone, Copy, Debug)]
struct Piece {
    row: usize,
    left: f64,
    right: f64,
}

/// The bare patches that are worth a stitch, as pieces of neighbouring scan lines.
fn patches(hidden: &Hidden, ground: &Ground) -> Vec<Vec<Piece>> {
    let rows = &ground.rows;
    let mut patches: Vec<Vec<Piece>> = Vec::new();
    // The patches that the row before is part of.
    let mut open: Vec<usize> = Vec::new();
    let mut size = 0.0;
    for (row, hidden) in hidden.0.iter().enumerate() {
        let mut now = Vec::new();
        for span in &rows.spans()[rows.in_row(row)] {
            size += (span.right - span.left) * rows.pitch();
            for (left, right) in gaps(&hidden.bands, span.left, span.right) {
                let piece = Piece { row, left, right };
                let meets = |&&patch: &&usize| {
                    let last: &Vec<Piece> = &patches[patch];
                    let beside = last.iter().rev().take_while(|before| before.row + 1 >= row);
                    beside
                        .filter(|before| before.row + 1 == row)
                        .any(|before| before.left < right && left < before.right)
                };
                match open.iter().find(meets) {
                    Some(&patch) => {
                        patches[patch].push(piece);
                        now.push(patch);
                    }
                    None => {
                        now.push(patches.len());
                        patches.push(vec![piece]);
                    }
                }
            }
        }
        now.dedup();
        open = now;
    }
    let smallest = (SMALLEST_SHARE * size).clamp(SMALLEST, LARGEST_LEFT);
    let area = |patch: &Vec<Piece>| {
        let long: f64 = patch.iter().map(|piece| piece.right - piece.left).sum();
        long * rows.pitch()
    };
    patches.retain(|patch| area(patch) >= smallest);
    patches
}

/// What lies between `left` and `right` outside of `hidden`, which is in order.
fn gaps(hidden: &[(f64, f64)], left: f64, right: f64) -> Vec<(f64, f64)> {
    let mut gaps = Vec::new();
    let mut from = left;
    let first = hidden.partition_point(|band| band.1 < left);
    for &(begin, end) in hidden[first..].iter().take_while(|band| band.0 < right) {
        if begin - from >= SHORTEST_PIECE {
            gaps.push((from, begin));
        }
        from = if end > from { end } else { from };
    }
    if right - from >= SHORTEST_PIECE {
        gaps.push((from, right));
    }
    gaps
}

/// For each scan line, where the stitches of the cover hide it.
struct Hidden(Vec<Bands>);

/// Where one scan line is hidden.
#[derive(Clone, Debug, Default)]
struct Bands {
    /// From left to right, and apart once they are settled.
    bands: Vec<(f64, f64)>,
    /// Whether some have come since.
    unsettled: bool,
}

impl Hidden {
    /// What the cover among `points` hides.
    fn by(points: &[NeedlePoint], ground: &Ground) -> Self {
        let mut hidden = Self(vec![Bands::default(); ground.rows.count()]);
        for pair in points.windows(2) {
            if pair[1].role == StitchRole::Cover {
                hidden.add([pair[0].at, pair[1].at], ground);
            }
        }
        hidden.settle();
        hidden
    }

    /// Adds what a stitch hides.
    fn add(&mut self, stitch: [Coord<f64>; 2], ground: &Ground) {
        let rows = &ground.rows;
        let reach = hiding(rows);
        let row_at = |y: f64| ((y - rows.y(0)) / rows.pitch()).max(0.0);
        let ends = stitch.map(|at| ground.frame.enter(at));
        let (top, bottom) = if ends[0].y < ends[1].y {
            (ends[0].y, ends[1].y)
        } else {
            (ends[1].y, ends[0].y)
        };
        let first = row_at(top - reach).ceil() as usize;
        let last = (row_at(bottom + reach).floor() as usize).min(rows.count() - 1);
        for (row, hidden) in self.0.iter_mut().enumerate().take(last + 1).skip(first) {
            if let Some(band) = band(ends, rows.y(row), reach) {
                hidden.bands.push(band);
                hidden.unsettled = true;
            }
        }
    }

    /// Puts the bands in order, and joins those that meet.
    fn settle(&mut self) {
        for hidden in self.0.iter_mut().filter(|hidden| hidden.unsettled) {
            hidden.unsettled = false;
            let bands = &mut hidden.bands;
            bands.sort_by(|a: &(f64, f64), b| a.0.total_cmp(&b.0));
            bands.dedup_by(|next, band| {
                let meets = next.0 <= band.1;
                if meets && next.1 > band.1 {
                    band.1 = next.1;
                }
                meets
            });
        }
    }
}

/// How far to each side a thread hides the cloth, in mm.
fn hiding(rows: &Rows) -> f64 {
    HIDES * rows.sewn_pitch()
}

/// The part of the line at `y` that lies no farther than `reach` from a stitch.
fn band([a, b]: [Coord<f64>; 2], y: f64, reach: f64) -> Option<(f64, f64)> {
    let mut band: Option<(f64, f64)> = None;
    let mut add = |left: f64, right: f64| {
        band = Some(match band {
            None => (left, right),
            Some((l, r)) => (
                if left < l { left } else { l },
                if right > r { right } else { r },
            ),
        });
    };
    for end in [a, b] {
        let square = reach * reach - (y - end.y) * (y - end.y);
        if square >= 0.0 {
            let half = square.sqrt();
            add(end.x - half, end.x + half);
        }
    }
    // The two sides of the stitch's band.
    let way = b - a;
    let long = distance(a, b);
    if long > 0.0 {
        let aside = Coord {
            x: -way.y,
            y: way.x,
        } * (reach / long);
        for side in [aside, -aside] {
            let share = (y - a.y - side.y) / way.y;
            if (0.0..=1.0).contains(&share) {
                let x = a.x + side.x + way.x * share;
                add(x, x);
            }
        }
    }
    band
}

/// For each patch that can be reached, a needle point and where a stitch goes from it.
fn spikes(
    patches: &[Vec<Piece>],
    points: &[NeedlePoint],
    ground: &Ground,
    costs: f64,
    longest: f64,
    allow: &Allow,
) -> Vec<(usize, Coord<f64>)> {
    if patches.is_empty() {
        return Vec::new();
    }
    let rows = &ground.rows;
    let row_of = |at: Coord<f64>| {
        let row = ((at.y - rows.y(0)) / rows.pitch()).round().max(0.0) as usize;
        row.min(rows.count() - 1)
    };
    // The needle points of the cover by scan line, in the frame.
    let mut in_row: Vec<Vec<(usize, Coord<f64>)>> = vec![Vec::new(); rows.count()];
    for (i, point) in points.iter().enumerate() {
        if point.role == StitchRole::Cover {
            let at = ground.frame.enter(point.at);
            in_row[row_of(at)].push((i, at));
        }
    }
    let mut used = vec![false; points.len()];
    let mut spikes = Vec::new();
    let far = if longest < FARTHEST {
        longest
    } else {
        FARTHEST
    };
    for patch in patches {
        let targets = targets(patch, ground);
        let near = (far / rows.pitch()).ceil() as usize;
        let (first, last) = (patch[0].row, patch[patch.len() - 1].row);
        let lines = first.saturating_sub(near)..(last + near + 1).min(rows.count());
        let mut best: Option<(f64, usize, Coord<f64>)> = None;
        for &(i, at) in in_row[lines].iter().flatten().filter(|(i, _)| !used[*i]) {
            for &target in &targets {
                let long = distance(at, target);
                if !(LEAST..=far).contains(&long) {
                    continue;
                }
                let short = if long < SAFE { SHORT_COSTS } else { 0.0 };
                let gain = hides([at, target], patch, ground) - costs * long - short;
                let better = best.is_none_or(|(most, ..)| gain > most);
                if better && allow(points[i].at, ground.frame.leave(target), StitchRole::Cover) {
                    best = Some((gain, i, target));
                }
            }
        }
        if let Some((gain, i, target)) = best
            && gain > 0.0
        {
            used[i] = true;
            spikes.push((i, ground.frame.leave(target)));
        }
    }
    spikes
}

/// How much of a patch a stitch hides, in mm².
fn hides(stitch: [Coord<f64>; 2], patch: &[Piece], ground: &Ground) -> f64 {
    let rows = &ground.rows;
    let reach = hiding(rows);
    let long: f64 = patch
        .iter()
        .filter_map(|piece| {
            let (left, right) = band(stitch, rows.y(piece.row), reach)?;
            let left = if left > piece.left { left } else { piece.left };
            let right = if right < piece.right {
                right
            } else {
                piece.right
            };
            (right > left).then_some(right - left)
        })
        .sum();
    long * rows.pitch()
}

/// Where a stitch over a patch may end: in the middle, or near either end, of its first, middle, last
/// and longest piece.
fn targets(patch: &[Piece], ground: &Ground) -> Vec<Coord<f64>> {
    let place = |piece: &Piece, share: f64| Coord {
        x: piece.left + (piece.right - piece.left) * share,
        y: ground.rows.y(piece.row),
    };
    let longest = patch
        .iter()
        .max_by(|a, b| (a.right - a.left).total_cmp(&(b.right - b.left)));
    let middle = &patch[patch.len() / 2];
    let pieces = [patch.first(), Some(middle), patch.last(), longest];
    let mut targets: Vec<Coord<f64>> = pieces
        .into_iter()
        .flatten()
        .flat_map(|piece| [0.1, 0.5, 0.9].map(|share| place(piece, share)))
        .collect();
    targets.dedup();
    targets
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_sdk::geometry::geo::polygon;

    #[test]
    fn a_stitch_hides_a_band_with_round_ends() {
        let at = |x, y| Coord { x, y };
        let level = [at(0.0, 0.0), at(4.0, 0.0)];
        assert_eq!(band(level, 0.0, 0.2), Some((-0.2, 4.2)));
        assert_eq!(band(level, 0.3, 0.2), None);
        let (left, right) = band([at(0.0, -5.0), at(0.0, 5.0)], 1.0, 0.2).expect("a band");
        assert!((left + 0.2).abs() < 1e-12 && (right - 0.2).abs() < 1e-12);
    }

    #[test]
    fn a_bare_half_is_mended() {
        let square = polygon![(x: 0., y: 0.), (x: 3., y: 0.), (x: 3., y: 2.), (x: 0., y: 2.)];
        let ground = Ground::new(&square, 0.0, 0.2).expect("it has rows");
        // Every row stops at the middle.
        let mut points = Vec::new();
        for row in 0..10 {
            let y = 0.1 + 0.2 * f64::from(row);
            let ends = if row % 2 == 0 { [0.0, 1.5] } else { [1.5, 0.0] };
            points.extend(ends.map(|x| NeedlePoint {
                at: Coord { x, y },
                role: StitchRole::Cover,
                place_matters: true,
            }));
        }
        assert!(!patches(&Hidden::by(&points, &ground), &ground).is_empty());
        mend(&mut points, &ground, 0.2, 4.0, &|_, _, _| true);
        let left: f64 = patches(&Hidden::by(&points, &ground), &ground)
            .iter()
            .flatten()
            .map(|piece| (piece.right - piece.left) * 0.2)
            .sum();
        assert!(left < 0.2, "{left} mm² of 3 mm² are bare still");
    }
}
