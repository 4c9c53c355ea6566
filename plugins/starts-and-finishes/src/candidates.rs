//! A few places for the beginning and the end of each object.

use crate::ground::Ground;
use crate::outline::{Ends, MOST_PLACES, Outline};
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;
use rstar::RTree;

/// The most stretches along an outline that are looked at for hidden ways.
const MOST_STRETCHES: usize = 8;

/// Places where an object may begin, and places where it may end.
#[derive(Clone, Debug, Default)]
pub(crate) struct Candidates {
    pub starts: Vec<Coord<f64>>,
    pub finishes: Vec<Coord<f64>>,
}

/// The candidates of each object of `block`, in order.
pub(crate) fn of(block: &[usize], outlines: &[Outline], ground: &Ground) -> Vec<Candidates> {
    (0..block.len())
        .map(|at| {
            let before = at.checked_sub(1).map(|before| block[before]);
            let after = block.get(at + 1).copied();
            of_one(block[at], before, after, outlines, ground)
        })
        .collect()
}

fn of_one(
    object: usize,
    before: Option<usize>,
    after: Option<usize>,
    outlines: &[Outline],
    ground: &Ground,
) -> Candidates {
    let outline = &outlines[object];
    let [neighbour_before, neighbour_after] =
        [before, after].map(|place| place.map(|place| &outlines[place]));
    let mut candidates = match &outline.ends {
        Ends::None => Candidates::default(),
        Ends::Fixed { start, finish } => Candidates {
            starts: vec![*start],
            finishes: vec![*finish],
        },
        Ends::Some(places) => Candidates {
            starts: few_towards(places, neighbour_before),
            finishes: few_towards(places, neighbour_after),
        },
        Ends::Opposite(ends) => both(ends.to_vec()),
        Ends::Round | Ends::Free => {
            let mut starts = Vec::new();
            let mut finishes = Vec::new();
            if let Some(before) = neighbour_before {
                // What the object before leaves to be covered lies under this one, or later ones.
                starts = along(outline, before, ground, object + 1);
            }
            if let (Some(neighbour), Some(after)) = (neighbour_after, after) {
                finishes = along(outline, neighbour, ground, after);
            }
            if outline.ends == Ends::Round {
                starts.append(&mut finishes);
                both(starts)
            } else {
                Candidates { starts, finishes }
            }
        }
    };
    if !matches!(outline.ends, Ends::Fixed { .. } | Ends::None) {
        let (mut start, mut finish) = (outline.start, outline.finish);
        if outline.ends == Ends::Round {
            // What is set for one of them holds for both.
            (start, finish) = (start.or(finish), finish.or(start));
        }
        if let Some(start) = start {
            candidates.starts = vec![start];
        }
        if let Some(finish) = finish {
            candidates.finishes = vec![finish];
        }
    }
    candidates
}

fn both(places: Vec<Coord<f64>>) -> Candidates {
    Candidates {
        starts: places.clone(),
        finishes: places,
    }
}

/// Of `places` at most [`MOST_PLACES`], in their order: those nearest to the outline `other`.
fn few_towards(places: &[Coord<f64>], other: Option<&Outline>) -> Vec<Coord<f64>> {
    if places.len() <= MOST_PLACES {
        return places.to_vec();
    }
    let theirs = other.map_or(&[][..], Outline::places);
    let tree = RTree::bulk_load(theirs.iter().map(|at| [at.x, at.y]).collect());
    let mut by_distance: Vec<(f64, usize)> = places
        .iter()
        .enumerate()
        .map(|(number, place)| {
            if !(place.x.is_finite() && place.y.is_finite()) {
                return (f64::INFINITY, number);
            }
            let nearest = tree.nearest_neighbor([place.x, place.y]);
            let away = nearest.map_or(0.0, |&[x, y]| distance(*place, Coord { x, y }));
            (away, number)
        })
        .collect();
    by_distance.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    by_distance.truncate(MOST_PLACES);
    let mut kept: Vec<usize> = by_distance.into_iter().map(|(_, number)| number).collect();
    kept.sort_unstable();
    kept.into_iter().map(|number| places[number]).collect()
}

/// Places along `outline` from which a way to `other` may begin: those nearest to it, and the middle
/// of each stretch that lies at objects from the place `first` on.
fn along(outline: &Outline, other: &Outline, ground: &Ground, first: usize) -> Vec<Coord<f64>> {
    let mut found = nearest(outline, other);
    let places = outline.places();
    let at: Vec<Vec<usize>> = places
        .iter()
        .map(|&place| ground.objects_at(place, first))
        .collect();
    // Stretches that lie at the same objects; an outline is a ring or several, so that a stretch over
    // its beginning is found as two, which does no harm.
    let mut stretches: Vec<(usize, usize)> = Vec::new();
    for (i, objects) in at.iter().enumerate() {
        match stretches.last_mut() {
            Some((from, to)) if at[*from] == *objects && *to == i => *to = i + 1,
            _ if objects.is_empty() => {}
            _ => stretches.push((i, i + 1)),
        }
    }
    let to = found.first().copied();
    let mut middles: Vec<Coord<f64>> = stretches
        .into_iter()
        .map(|(from, to)| places[usize::midpoint(from, to - 1)])
        .collect();
    if let Some(to) = to {
        middles.sort_by(|a, b| distance(*a, to).total_cmp(&distance(*b, to)));
    }
    middles.truncate(MOST_STRETCHES);
    found.extend(middles);
    found
}

/// The places on `outline` nearest to where `other` can begin or end.
fn nearest(outline: &Outline, other: &Outline) -> Vec<Coord<f64>> {
    let fixed: Vec<Coord<f64>> = match &other.ends {
        Ends::None => Vec::new(),
        Ends::Fixed { start, finish } => vec![*start, *finish],
        Ends::Some(places) => few_towards(places, Some(outline)),
        Ends::Opposite(ends) => ends.to_vec(),
        Ends::Round | Ends::Free => {
            let mine = few_towards(outline.places(), Some(other));
            let theirs = few_towards(other.places(), Some(outline));
            let pairs = mine.into_iter().flat_map(|mine| {
                let theirs = theirs.iter().copied();
                theirs
                    .min_by(|a, b| distance(*a, mine).total_cmp(&distance(*b, mine)))
                    .map(|theirs| (mine, theirs))
            });
            let best = pairs.min_by(|a, b| distance(a.0, a.1).total_cmp(&distance(b.0, b.1)));
            let Some((mine, theirs)) = best else {
                return Vec::new();
            };
            // Both outlines are looked at in steps: from place to place once more on each.
            let theirs = other.nearest(mine).unwrap_or(theirs);
            vec![theirs]
        }
    };
    let set = [other.start, other.finish].into_iter().flatten();
    let towards = fixed.into_iter().chain(set);
    towards.filter_map(|place| outline.nearest(place)).collect()
}

#[cfg(test)]
mod tests;
