//! A line beneath others, cut to the stretches that show and the underlap.
//!
//! A place of a line shows where any part of the stroke's breadth there does. All is reckoned
//! along the line, so that a wide stroke goes no farther beneath its upper neighbour than a
//! narrow one.

use crate::CutLayers;
use crate::drawn::Drawn;
use crate::region::Cut;
use crate::shown::{NOISE, Shown, together};
use crate::upper::Upper;
use hoopwright_sdk::Lines;
use hoopwright_sdk::THREAD_WIDTH;
use hoopwright_sdk::geometry::area::difference;
use hoopwright_sdk::geometry::edge_grid::EdgeGrid;
use hoopwright_sdk::geometry::geo::{Area, LineString, MultiPolygon};
use hoopwright_sdk::geometry::measure::{cross, distance};
use hoopwright_sdk::geometry::measured::Measured;
use hoopwright_sdk::prelude::*;

/// A hidden end that is shorter than this, in mm, is not worth cutting off.
const LEAST_END: f64 = 0.5;

/// From one length along a line to another, in mm.
type Stretch = (f64, f64);

/// Cuts the stretches of `lines` that `uppers` hide. `area` is what the strokes cover, each at
/// least as wide as a thread.
pub(crate) fn cut(
    lines: &Lines,
    area: &MultiPolygon<f64>,
    uppers: &[&Upper],
    settings: &CutLayers,
) -> Cut<Lines> {
    let all = difference(area, &together(uppers.iter().copied()));
    if area.unsigned_area() - all.unsigned_area() < NOISE {
        return Cut::Whole;
    }
    let width = lines.width.max(THREAD_WIDTH);
    let hair = settings.least_visible_width.min(width * 0.4);
    let speck = settings.least_visible_area;
    let shown = Shown::of(all, uppers, hair, 0.0).without_specks(speck);
    if shown.worth.unsigned_area() < settings.least_visible_area {
        return Cut::Gone(shown.all.unsigned_area());
    }
    let underlaps = uppers.iter().map(|upper| upper.underlap(settings));
    let underlap = underlaps.fold(0.0, f64::max);
    let edges = EdgeGrid::new(&shown.worth);
    let drawn = Drawn {
        uppers,
        hair,
        speck,
    };
    let mut paths = Vec::new();
    let mut changed = false;
    for path in &lines.paths {
        let line = Measured::new(path.to_line_string().0);
        let Some(kept) = kept(
            &line,
            path.closed,
            &edges,
            &drawn,
            width,
            underlap,
            settings,
        ) else {
            paths.push(path.clone());
            continue;
        };
        changed = true;
        paths.extend(kept);
    }
    if !changed {
        return Cut::Whole;
    }
    if paths.is_empty() {
        return Cut::Gone(drawn.beyond(area));
    }
    let width = lines.width;
    Cut::To(Lines { paths, width }, 0.0)
}

/// The pieces of `line` that stay, in drawn order; or nothing where it stays as it is.
fn kept(
    line: &Measured,
    closed: bool,
    edges: &EdgeGrid,
    drawn: &Drawn,
    width: f64,
    underlap: f64,
    settings: &CutLayers,
) -> Option<Vec<Polyline>> {
    let total = Some(line.length()).filter(|total| total.is_finite())?;
    let mut wide = stretches_shown(line, edges, closed, width / 2.0);
    wide.retain(|&(from, to)| !drawn.hides(&LineString(line.part(from, to)), width));
    if wide.is_empty() {
        return Some(Vec::new());
    }
    let stretches = if closed {
        round(&wide, total, underlap, settings.least_line_cut)
    } else {
        straight(&wide, total, underlap, settings.least_line_cut)
    };
    if stretches.as_slice() == [(0.0, total)] {
        return None;
    }
    let pieces = stretches.iter();
    Some(pieces.map(|&stretch| piece(line, stretch)).collect())
}

/// The stretches of an open line that stay: what shows, the underlap, and what lies between two
/// of them that is too short to cut.
fn straight(shown: &[Stretch], total: f64, underlap: f64, least: f64) -> Vec<Stretch> {
    let reach = shown
        .iter()
        .map(|&(from, to)| ((from - underlap).max(0.0), (to + underlap).min(total)));
    let mut kept: Vec<Stretch> = Vec::new();
    for (from, to) in reach {
        match kept.last_mut() {
            Some(last) if from - last.1 < least => last.1 = last.1.max(to),
            _ => kept.push((from, to)),
        }
    }
    if let Some(first) = kept.first_mut()
        && first.0 < LEAST_END
    {
        first.0 = 0.0;
    }
    if let Some(last) = kept.last_mut()
        && total - last.1 < LEAST_END
    {
        last.1 = total;
    }
    kept
}

/// The same for a closed line, whose first place is no end. A stretch across it comes first, and
/// begins below zero.
fn round(shown: &[Stretch], total: f64, underlap: f64, least: f64) -> Vec<Stretch> {
    let mut kept: Vec<Stretch> = Vec::new();
    for &(from, to) in shown {
        let (from, to) = (from - underlap, to + underlap);
        match kept.last_mut() {
            Some(last) if from - last.1 < least => last.1 = last.1.max(to),
            _ => kept.push((from, to)),
        }
    }
    // Where the last one comes near to the first, they are one.
    if let (Some(&first), Some(&last)) = (kept.first(), kept.last())
        && first.0 + total - last.1 < least
    {
        if kept.len() == 1 {
            return vec![(0.0, total)];
        }
        kept.pop();
        kept[0].0 = last.0 - total;
    }
    kept
}

/// A stretch of a line. One that begins below zero, or ends beyond the whole length, goes on round
/// a closed line.
fn piece(line: &Measured, (from, to): Stretch) -> Polyline {
    let total = line.length();
    let mut corners: Vec<Coord<f64>> = Vec::new();
    let mut add = |from: f64, to: f64| corners.extend(line.part(from, to));
    if from < 0.0 {
        add(from + total, total);
    }
    if from < total && to > 0.0 {
        add(from.max(0.0), to.min(total));
    }
    if to > total {
        add(0.0, to - total);
    }
    corners.dedup();
    Polyline::new(corners, false)
}

/// The stretches of a line, in order and apart, where any part of a stroke's breadth of `half` mm to
/// either side shows. `edges` are those of what shows.
fn stretches_shown(line: &Measured, edges: &EdgeGrid, closed: bool, half: f64) -> Vec<Stretch> {
    let pieces: Vec<Piece> = line
        .corners()
        .windows(2)
        .zip(line.lengths())
        .filter_map(|(ends, &at)| Piece::new(ends[0], ends[1], at, half))
        .collect();
    let mut shown: Vec<Stretch> = Vec::new();
    // Whether the place reached shows, as far as that is known: it can change only at an edge.
    let mut known: Option<bool> = None;
    for (i, piece) in pieces.iter().enumerate() {
        let before = i
            .checked_sub(1)
            .or(closed.then_some(pieces.len() - 1))
            .map(|at| &pieces[at]);
        let after = pieces.get(i + 1).or(pieces.first().filter(|_| closed));
        let room = [
            before.map_or(half, |other| half * other.turn_to(piece)),
            after.map_or(half, |other| half * piece.turn_to(other)),
        ];
        along(piece, edges, room, &mut known, &mut shown);
    }
    merged(shown)
}

/// Adds where one straight piece shows, with so much room for the corners before and after.
fn along(
    piece: &Piece,
    edges: &EdgeGrid,
    room: [f64; 2],
    known: &mut Option<bool>,
    shown: &mut Vec<Stretch>,
) {
    let near = edges.edges_near(piece.bounds(room)).into_iter();
    let met = near.filter_map(|edge| piece.meets(edge, room));
    let gap = |from: f64, to: f64, known: &mut Option<bool>, shown: &mut Vec<Stretch>| {
        // No edge crosses the stroke here, so that it shows in full breadth or not at all.
        let middle = piece.from + piece.ahead * ((from + to) / 2.0);
        if to > from && *known.get_or_insert_with(|| edges.contains(middle)) {
            shown.push((piece.at + from, piece.at + to));
        }
    };
    let mut at = 0.0;
    for (from, to) in merged(met.collect()) {
        gap(at, from, known, shown);
        shown.push((piece.at + from, piece.at + to));
        *known = None;
        at = to;
    }
    gap(at, piece.length, known, shown);
}

/// A straight piece of a line.
struct Piece {
    from: Coord<f64>,
    ahead: Coord<f64>,
    length: f64,
    /// The length of the line before it.
    at: f64,
    half: f64,
}

impl Piece {
    fn new(from: Coord<f64>, to: Coord<f64>, at: f64, half: f64) -> Option<Self> {
        let length = distance(from, to);
        (length > 1e-9 && length.is_finite()).then(|| Self {
            from,
            ahead: (to - from) / length,
            length,
            at,
            half,
        })
    }

    /// The sine of the turn to the piece after this one, and 1 where it turns back.
    fn turn_to(&self, other: &Self) -> f64 {
        let (a, b) = (self.ahead, other.ahead);
        if a.x * b.x + a.y * b.y <= 0.0 {
            return 1.0;
        }
        cross(a, b).abs()
    }

    /// Two corners of the upright rectangle around its stroke.
    fn bounds(&self, room: [f64; 2]) -> [Coord<f64>; 2] {
        let ends = [
            self.from - self.ahead * room[0],
            self.from + self.ahead * (self.length + room[1]),
        ];
        let low = |a: f64, b: f64| a.min(b) - self.half;
        let high = |a: f64, b: f64| a.max(b) + self.half;
        [
            Coord {
                x: low(ends[0].x, ends[1].x),
                y: low(ends[0].y, ends[1].y),
            },
            Coord {
                x: high(ends[0].x, ends[1].x),
                y: high(ends[0].y, ends[1].y),
            },
        ]
    }

    /// Along which stretch of this piece an edge lies in the stroke, if it does.
    fn meets(&self, edge: [Coord<f64>; 2], room: [f64; 2]) -> Option<Stretch> {
        let local = edge.map(|corner| {
            let off = corner - self.from;
            (
                off.x * self.ahead.x + off.y * self.ahead.y,
                off.y * self.ahead.x - off.x * self.ahead.y,
            )
        });
        let [(x0, y0), (x1, y1)] = local;
        // The part of the edge within the breadth, as fractions of the edge, then within the length.
        let (mut first, mut last) = within(y0, y1, -self.half, self.half)?;
        let (start, end) = within(x0, x1, -room[0], self.length + room[1])?;
        first = first.max(start);
        last = last.min(end);
        if first > last {
            return None;
        }
        let clamp = |fraction: f64| (x0 + (x1 - x0) * fraction).clamp(0.0, self.length);
        let (a, b) = (clamp(first), clamp(last));
        Some((a.min(b), a.max(b)))
    }
}

/// Between which fractions of the way from `a` to `b` the value lies from `low` to `high`.
fn within(a: f64, b: f64, low: f64, high: f64) -> Option<(f64, f64)> {
    let way = b - a;
    if way.abs() < 1e-12 {
        return (a >= low && a <= high).then_some((0.0, 1.0));
    }
    let (to_low, to_high) = ((low - a) / way, (high - a) / way);
    let first = to_low.min(to_high).max(0.0);
    let last = to_low.max(to_high).min(1.0);
    (first <= last).then_some((first, last))
}

/// Stretches in order, those that touch made one.
fn merged(mut stretches: Vec<Stretch>) -> Vec<Stretch> {
    stretches.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut merged: Vec<Stretch> = Vec::new();
    for (from, to) in stretches {
        match merged.last_mut() {
            Some(last) if from <= last.1 + 1e-9 => last.1 = last.1.max(to),
            _ => merged.push((from, to)),
        }
    }
    merged
}
