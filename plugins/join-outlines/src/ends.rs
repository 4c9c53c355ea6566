//! Lines' ends, tied to each other and to the lines they reach.

use crate::contact::{CONTACT, Pieces, Spot};
use crate::joints::Joints;
use crate::line::{Line, nearest_on};
use geometry::measure::distance;
use hoopwright_sdk::groups::Groups;
use hoopwright_sdk::prelude::*;
use rstar::RTree;
use rstar::primitives::GeomWithData;

/// A line that runs along another within this angle (the sine of about 20°) does not end on it.
const ALONGSIDE: f64 = 0.34;

/// Lines up to so many reaches long are short: their two ends never become one joint.
const SHORT: f64 = 4.0;

/// One end of an open line.
#[derive(Clone, Copy, Debug)]
struct End {
    spot: Spot,
    place: Coord<f64>,
}

/// Ties every end of an open line to a joint: one with other ends, a crossing, or a line's
/// inside within `reach`, or else one of its own.
pub fn tie_ends(lines: &[Line], pieces: &Pieces, reach: f64, joints: &mut Joints) {
    let ends = ends_of(lines);
    let crossings = index(joints.places());
    for group in meeting_ends(lines, &ends, reach) {
        let group: Vec<End> = group.into_iter().map(|end| ends[end]).collect();
        let joint = nearest_crossing(lines, &group, &crossings, reach, joints)
            .or_else(|| line_reached(lines, pieces, &group, reach, joints))
            .unwrap_or_else(|| joints.add(middle(&group)));
        for end in group {
            joints.tie(end.spot, joint);
        }
    }
}

fn ends_of(lines: &[Line]) -> Vec<End> {
    let open = lines.iter().enumerate().filter(|(_, line)| !line.closed);
    open.flat_map(|(l, line)| {
        [0.0, line.length()].map(|at| End {
            spot: Spot { line: l, at },
            place: line.place(at),
        })
    })
    .collect()
}

type Index = RTree<GeomWithData<[f64; 2], usize>>;

fn index(places: &[Coord<f64>]) -> Index {
    let places = places.iter().enumerate();
    RTree::bulk_load(
        places
            .map(|(i, at)| GeomWithData::new([at.x, at.y], i))
            .collect(),
    )
}

/// The things of an index within `reach` of a place: how far away, and which; nearest first.
fn within(index: &Index, place: Coord<f64>, reach: f64) -> Vec<(f64, usize)> {
    let found = index.locate_within_distance([place.x, place.y], reach * reach);
    let mut found: Vec<(f64, usize)> = found
        .map(|thing| {
            let [x, y] = *thing.geom();
            (distance(place, Coord { x, y }), thing.data)
        })
        .collect();
    found.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    found
}

/// Groups of ends that meet within `reach`, nearest pairs first. The two ends of a short line are
/// never in one group, so that a row of dashes does not shrink to a dot.
fn meeting_ends(lines: &[Line], ends: &[End], reach: f64) -> Vec<Vec<usize>> {
    let places: Vec<Coord<f64>> = ends.iter().map(|end| end.place).collect();
    let tree = index(&places);
    let mut pairs = Vec::new();
    for (i, end) in ends.iter().enumerate() {
        let near = within(&tree, end.place, reach).into_iter();
        pairs.extend(near.filter(|&(_, j)| j > i).map(|(apart, j)| (apart, i, j)));
    }
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0).then((a.1, a.2).cmp(&(b.1, b.2))));
    let mut groups = Groups::new(ends.len());
    let mut members: Vec<Vec<usize>> = (0..ends.len()).map(|end| vec![end]).collect();
    for (_, i, j) in pairs {
        let (a, b) = (groups.of(i), groups.of(j));
        let folds_short_line = || {
            members[a].iter().any(|&end| {
                let line = ends[end].spot.line;
                lines[line].length() <= SHORT * reach
                    && members[b]
                        .iter()
                        .any(|&other| ends[other].spot.line == line)
            })
        };
        let sprawls = || {
            let both = || members[a].iter().chain(&members[b]);
            both().any(|&p| both().any(|&q| distance(places[p], places[q]) > 2.0 * reach))
        };
        if a != b && !folds_short_line() && !sprawls() {
            groups.merge(a, b);
            let (into, from) = (a.min(b), a.max(b));
            let moved = std::mem::take(&mut members[from]);
            members[into].extend(moved);
        }
    }
    members.retain(|group| !group.is_empty());
    members
}

/// The joint of the crossing nearest to any end of `group`.
fn nearest_crossing(
    lines: &[Line],
    group: &[End],
    crossings: &Index,
    reach: f64,
    joints: &mut Joints,
) -> Option<usize> {
    let mut near: Vec<(f64, usize)> = group
        .iter()
        .flat_map(|end| within(crossings, end.place, reach))
        .collect();
    near.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let found = near.into_iter().find(|&(apart, joint)| {
        apart <= CONTACT
            || group.iter().all(|end| {
                // A short line would lose the stub beyond the crossing, or both its ends.
                lines[end.spot.line].length() > SHORT * reach || !joints.is_on(end.spot.line, joint)
            })
    });
    found.map(|(_, joint)| joint)
}

/// A new joint on the line nearest to any end of `group` that ends there (a T).
fn line_reached(
    lines: &[Line],
    pieces: &Pieces,
    group: &[End],
    reach: f64,
    joints: &mut Joints,
) -> Option<usize> {
    let mut nearest: Option<(f64, Spot)> = None;
    for end in group {
        for (l, i) in pieces.near(end.place, end.place, reach) {
            let line = &lines[l];
            let (along, apart) = nearest_on(line.piece(i), end.place);
            let at = line.along(i, along);
            let own = group.iter().any(|end| {
                let other = end.spot.line;
                (other == l && line.apart(end.spot.at, at) <= SHORT * reach)
                    || (lines[other].length() <= SHORT * reach && joints.tied(other, l))
            });
            let reached = apart <= CONTACT
                || (apart <= reach && !runs_alongside(lines, *end, reach, line.piece(i)));
            let nearer = nearest.is_none_or(|(least, _)| apart < least);
            if !own && reached && nearer {
                nearest = Some((apart, Spot { line: l, at }));
            }
        }
    }
    let (_, spot) = nearest?;
    let joint = joints.add(lines[spot.line].place(spot.at));
    joints.tie(spot, joint);
    Some(joint)
}

/// Whether the line of `end` comes in along `piece` rather than towards it.
fn runs_alongside(lines: &[Line], end: End, reach: f64, piece: [Coord<f64>; 2]) -> bool {
    let line = &lines[end.spot.line];
    let inward = if end.spot.at == 0.0 { 1.0 } else { -1.0 };
    let inside = line.place(end.spot.at + inward * (2.0 * reach).min(line.length()));
    let (way, other) = (end.place - inside, piece[1] - piece[0]);
    let lengths = distance(end.place, inside) * distance(piece[0], piece[1]);
    (way.x * other.y - way.y * other.x).abs() < ALONGSIDE * lengths
}

fn middle(group: &[End]) -> Coord<f64> {
    let first = group[0].place;
    if group.iter().all(|end| end.place == first) {
        return first;
    }
    let sum = group
        .iter()
        .fold(Coord { x: 0.0, y: 0.0 }, |sum, end| sum + end.place);
    sum / group.len() as f64
}
