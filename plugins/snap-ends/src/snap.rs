//! Where each end goes.

use crate::meeting::{self, End};
use crate::path::{NewEnd, Path, SAME_PLACE, Side};
use crate::pressed;
use crate::target::{Owner, Piece, Targets, corners, nearest, of_paths};
use crate::{Reaches, SnapEnds};
use hoopwright_sdk::geometry::geo::Line;
use hoopwright_sdk::geometry::geo::line_intersection::{LineIntersection, line_intersection};
use hoopwright_sdk::geometry::measure::{self, distance};
use hoopwright_sdk::geometry::measured::cumulative;
use hoopwright_sdk::prelude::*;
use std::collections::BTreeSet;

/// A line that is laid onto another whose own end moves has to be laid anew. After so many times
/// what is left is far below a machine's step.
const PASSES: usize = 12;

/// Two directions whose sine is less than this run side by side: where they cross says nothing.
const SIDE_BY_SIDE: f64 = 0.05;

/// A way that leaves a line's direction by less than this, in mm, goes on straight.
const STRAIGHT: f64 = 1e-3;

/// What was done beside moving ends.
#[derive(Clone, Debug, Default)]
pub(crate) struct Snapped {
    /// Ends that should have gone on straight, and could not.
    pub bent_anyway: Vec<End>,
}

/// Gives the ends of `paths` their new places.
pub(crate) fn all(paths: &mut [Path], fixed: &[Piece], settings: &SnapEnds) -> Snapped {
    let groups = if settings.to_ends {
        meeting::groups(paths, settings.reach)
    } else {
        meeting::alone(paths)
    };
    let met: Vec<Vec<NewEnd>> = groups
        .iter()
        .map(|group| meet(group, paths, settings))
        .collect();
    set(&groups, &met, paths);
    let mut now = met.clone();
    if settings.to_lines || !fixed.is_empty() {
        for _ in 0..PASSES {
            let mut pieces = fixed.to_vec();
            if settings.to_lines {
                pieces.extend(of_paths(paths));
            }
            let targets = Targets::new(pieces);
            let mut next: Vec<Vec<NewEnd>> = groups
                .iter()
                .zip(&met)
                .map(|(group, met)| {
                    onto(group, met, paths, &targets, settings).unwrap_or_else(|| met.clone())
                })
                .collect();
            set(&groups, &next, paths);
            let_go(&groups, &met, &mut next, paths, &targets, settings.reach);
            let moved = next.iter().flatten().zip(now.iter().flatten());
            let settled = moved
                .map(|(a, b)| distance(a.place(), b.place()))
                .all(|by| by < SAME_PLACE);
            now = next;
            if settled {
                break;
            }
        }
    }
    // Two groups may meet in one place, too.
    for number in 0..paths.len() {
        if let Some(side) = pressed::end_to_let_go(number, paths, None, settings.reach) {
            let drawn = paths[number].end(side);
            paths[number].set_end(side, NewEnd::Bent(drawn));
        }
    }
    let mut snapped = Snapped::default();
    if settings.reaches == Reaches::Lengthened {
        for (&end, new) in groups.iter().flatten().zip(now.iter().flatten()) {
            let moved = paths[end.path].moved(end.side) > SAME_PLACE;
            if moved && matches!(new, NewEnd::Bent(_)) {
                snapped.bent_anyway.push(end);
            }
        }
    }
    snapped
}

fn set(groups: &[Vec<End>], ends: &[Vec<NewEnd>], paths: &mut [Path]) {
    for (end, new) in groups.iter().flatten().zip(ends.iter().flatten()) {
        paths[end.path].set_end(end.side, *new);
    }
}

/// Gives the groups that pressed a short line back the place where they met.
fn let_go(
    groups: &[Vec<End>],
    met: &[Vec<NewEnd>],
    next: &mut [Vec<NewEnd>],
    paths: &mut [Path],
    targets: &Targets,
    reach: f64,
) {
    let ends: BTreeSet<End> = (0..paths.len())
        .filter_map(|path| {
            let side = pressed::end_to_let_go(path, paths, Some(targets), reach)?;
            Some(End { path, side })
        })
        .collect();
    if ends.is_empty() {
        return;
    }
    for ((group, met), next) in groups.iter().zip(met).zip(next.iter_mut()) {
        if group.iter().any(|end| ends.contains(end)) {
            next.clone_from(met);
        }
    }
    set(groups, next, paths);
}

/// Where the ends of a group meet: in their middle, or where two of them cross when they go on.
fn meet(group: &[End], paths: &[Path], settings: &SnapEnds) -> Vec<NewEnd> {
    let place = |end: &End| paths[end.path].end(end.side);
    let first = group.first().map(place).unwrap_or_default();
    if group.iter().all(|end| place(end) == first) {
        // No sum of equal numbers is more exact than the number.
        return vec![NewEnd::Bent(first); group.len()];
    }
    if settings.reaches == Reaches::Lengthened
        && let [a, b] = group
        && let Some(crossing) = crossing(*a, *b, paths, settings.reach)
    {
        return vec![NewEnd::Straight(crossing); 2];
    }
    let middle = meeting::middle(group, paths);
    group.iter().map(|&end| to(middle, end, paths)).collect()
}

/// The new end at `place`: straight where it lies in the line's own direction.
fn to(place: Coord<f64>, end: End, paths: &[Path]) -> NewEnd {
    let path = &paths[end.path];
    let way = place - path.end(end.side);
    let direction = path.direction(end.side);
    let aside = measure::cross(way, direction);
    let ahead = way.x * direction.x + way.y * direction.y;
    if aside.abs() < STRAIGHT && ahead > -path.straight_length(end.side) / 2.0 {
        NewEnd::Straight(place)
    } else {
        NewEnd::Bent(place)
    }
}

/// Where two lines cross when both go on in their directions, or stop short in their last parts.
fn crossing(a: End, b: End, paths: &[Path], reach: f64) -> Option<Coord<f64>> {
    let of = |end: End| {
        let path = &paths[end.path];
        let back = path.straight_length(end.side) / 2.0;
        (
            path.end(end.side),
            path.direction(end.side),
            back.min(reach),
        )
    };
    let ((at, way, back), (other, other_way, other_back)) = (of(a), of(b));
    if measure::cross(way, other_way).abs() < SIDE_BY_SIDE {
        return None;
    }
    let [ahead, other_ahead] = measure::crossing((at, way), (other, other_way))?;
    let reached = (-back..=reach).contains(&ahead) && (-other_back..=reach).contains(&other_ahead);
    reached.then(|| at + way * ahead)
}

/// A group's ends laid onto what lies near where they meet. Nothing where there is nothing near.
fn onto(
    group: &[End],
    met: &[NewEnd],
    paths: &[Path],
    targets: &Targets,
    settings: &SnapEnds,
) -> Option<Vec<NewEnd>> {
    let at = met.first()?.place();
    let reach = settings.reach;
    let mut near = targets.near(at, reach);
    near.retain(|piece| !is_too_near_along_its_own_line(piece, group, paths, reach));
    let place = nearest(near.first()?, at);
    if distance(place, at) < SAME_PLACE {
        return None;
    }
    if settings.reaches == Reaches::Lengthened
        && let [end] = group
        && let Some(new) = straight_onto(*end, &paths[end.path], &near, reach)
    {
        return Some(vec![new]);
    }
    let within = |end: &End| distance(paths[end.path].end(end.side), place) <= reach;
    group
        .iter()
        .all(within)
        .then(|| group.iter().map(|&end| to(place, end, paths)).collect())
}

/// Whether a piece belongs to the line of one of these ends, and lies so near that end that the
/// line would be laid onto itself.
fn is_too_near_along_its_own_line(
    piece: &Piece,
    group: &[End],
    paths: &[Path],
    reach: f64,
) -> bool {
    let Owner::Path(owner, place) = piece.data else {
        return false;
    };
    let own = group.iter().filter(|end| end.path == owner);
    let mut own = own.peekable();
    if own.peek().is_none() {
        return false;
    }
    let along = cumulative(paths[owner].now());
    let length = along.last().copied().unwrap_or_default();
    let (from, to) = (along.get(place), along.get(place + 1));
    let (from, to) = (
        from.copied().unwrap_or_default(),
        to.copied().unwrap_or_default(),
    );
    own.any(|end| {
        let between = match end.side {
            Side::Start => from,
            Side::Finish => length - to,
        };
        between < meeting::LONG * reach
    })
}

/// The end where its line goes on, or is cut, to meet one of `pieces`; whichever is nearer.
fn straight_onto(end: End, path: &Path, pieces: &[Piece], reach: f64) -> Option<NewEnd> {
    let at = path.end(end.side);
    let ahead = [at, at + path.direction(end.side) * reach];
    let lengthened = pieces
        .iter()
        .filter_map(|piece| cross(ahead, corners(piece)))
        .map(|place| (distance(at, place), NewEnd::Straight(place)));
    let mut crossings: Vec<(f64, NewEnd)> = lengthened.collect();
    let mut back = 0.0;
    let mut last = at;
    for corner in path.from(end.side).skip(1) {
        for piece in pieces {
            if let Some(place) = cross([last, corner], corners(piece)) {
                let far = back + distance(last, place);
                crossings.push((far, NewEnd::Cut(far, place)));
            }
        }
        back += distance(last, corner);
        last = corner;
        if back > reach {
            break;
        }
    }
    crossings.retain(|&(far, _)| far <= reach && far < path.length() / 2.0);
    crossings.sort_by(|(a, _), (b, _)| a.total_cmp(b));
    crossings.first().map(|&(_, new)| new)
}

fn cross(a: [Coord<f64>; 2], b: [Coord<f64>; 2]) -> Option<Coord<f64>> {
    match line_intersection(Line::new(a[0], a[1]), Line::new(b[0], b[1]))? {
        LineIntersection::SinglePoint { intersection, .. } => Some(intersection),
        LineIntersection::Collinear { .. } => None,
    }
}
