//! Which object must be sewn before which.

use crate::footprint::Footprint;
use crate::place_set::PlaceSet;
use hoopwright_sdk::geometry::area;
use hoopwright_sdk::geometry::boxes::Boxes;
use hoopwright_sdk::geometry::geo::{Area, MultiPolygon};
use std::cmp::Reverse;

/// Which object must be sewn before which: an acyclic graph over places.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Precedence {
    /// What must be sewn before each.
    pub before: Vec<Vec<usize>>,
    /// What must be sewn after each.
    pub after: Vec<Vec<usize>>,
}

impl Precedence {
    /// `count` objects in any order.
    pub fn free(count: usize) -> Self {
        Self {
            before: vec![Vec::new(); count],
            after: vec![Vec::new(); count],
        }
    }

    /// `first` must be sewn before `later`.
    pub fn add(&mut self, first: usize, later: usize) {
        if let (Some(before), Some(after)) = (self.before.get_mut(later), self.after.get_mut(first))
        {
            before.push(first);
            after.push(later);
        }
    }

    /// Another number for each object: object `i` becomes object `to[i]`.
    pub fn renumbered(&self, to: &[usize]) -> Self {
        let mut renumbered = Self::free(self.before.len());
        for (later, before) in self.before.iter().enumerate() {
            for &first in before {
                renumbered.add(to[first], to[later]);
            }
        }
        renumbered
    }

    /// All pairs, the first to be sewn first.
    pub fn pairs(&self) -> Vec<(usize, usize)> {
        let later = self.before.iter().enumerate();
        later
            .flat_map(|(later, before)| before.iter().map(move |&first| (first, later)))
            .collect()
    }

    /// The same pairs the other way round.
    pub fn reversed(&self) -> Self {
        Self {
            before: self.after.clone(),
            after: self.before.clone(),
        }
    }

    /// Any order that keeps the precedence (Kahn 1962).
    pub fn any_order(&self) -> Vec<usize> {
        let mut left: Vec<usize> = self.before.iter().map(Vec::len).collect();
        let mut order: Vec<usize> = (0..left.len()).filter(|&place| left[place] == 0).collect();
        let mut next = 0;
        while let Some(&place) = order.get(next) {
            next += 1;
            for &after in &self.after[place] {
                left[after] -= 1;
                if left[after] == 0 {
                    order.push(after);
                }
            }
        }
        order
    }

    /// How many objects there are.
    pub fn len(&self) -> usize {
        self.before.len()
    }
}

/// An overlap of no more than this, in mm², may be all hidden by what lies above both, and then binds
/// nothing: it is as much as `cut-layers` leaves of a line's end beneath the next. Of a larger one some
/// shows nearly always, and to look would take long.
const CRUMB: f64 = 1.0;

/// The rule of overlap: of two objects that overlap where it could show, the one that came first stays
/// first. Objects that are not selected keep their order, so they form a chain. Pairs that follow from
/// others are left out. `hides` tells which objects cover what lies beneath them.
pub(crate) fn of_overlaps(
    footprints: &[Option<Footprint>],
    hides: &[bool],
    selected: &[bool],
    tolerance: f64,
) -> Precedence {
    let count = footprints.len();
    let bounds = footprints.iter().map(|it| Some(it.as_ref()?.bounds));
    let boxes = Boxes::new(bounds.enumerate());
    let mut pairs: Vec<(usize, usize)> = Vec::new();
    // All that must come after each object, directly or not.
    let mut after = vec![PlaceSet::below(0); count];
    let mut next_unselected: Option<usize> = None;
    for first in (0..count).rev() {
        let chained = next_unselected.filter(|_| !selected[first]);
        let lower = footprints[first].as_ref();
        let near = lower.map(|lower| boxes.near(lower.bounds, 0.0));
        let mut near = near.unwrap_or_default();
        near.retain(|&place| place > first);
        near.extend(chained);
        near.sort_unstable();
        let mut mine = PlaceSet::below(count);
        let mut bound: Vec<usize> = Vec::new();
        let mut bind = |later: usize, mine: &mut PlaceSet| {
            bound.push(later);
            mine.add(later);
            mine.add_all(&after[later]);
        };
        let mut crumbs = Vec::new();
        // The earliest first: what must come after that one follows without a look.
        for &later in &near {
            if mine.has(later) {
                continue;
            }
            if chained == Some(later) {
                bind(later, &mut mine);
            } else if let (Some(lower), Some(upper)) = (lower, &footprints[later])
                && let Some(common) = upper.overlap(lower, tolerance)
            {
                if common.unsigned_area() > CRUMB {
                    bind(later, &mut mine);
                } else {
                    crumbs.push((later, lower, upper, common));
                }
            }
        }
        // The latest first: what comes after both is known by then.
        for (later, lower, upper, common) in crumbs.into_iter().rev() {
            if mine.has(later) {
                continue;
            }
            let above = near.iter().filter(|&&place| {
                place > later && hides[place] && mine.has(place) && after[later].has(place)
            });
            let above = above.filter_map(|&place| footprints[place].as_ref());
            let above: MultiPolygon<f64> = above.flat_map(|it| it.area.iter().cloned()).collect();
            let shows = area::difference(&common, &above);
            if upper.is_overlap(lower, &shows, tolerance) {
                bind(later, &mut mine);
            }
        }
        // So exactly the pairs stay that follow from no others (the transitive reduction, which is unique).
        bound.sort_unstable();
        let mut follow = PlaceSet::below(count);
        for later in bound {
            if !follow.has(later) {
                pairs.push((first, later));
                follow.add_all(&after[later]);
            }
        }
        after[first] = mine;
        if !selected[first] {
            next_unselected = Some(first);
        }
    }
    pairs.sort_unstable_by_key(|&(first, later)| (later, Reverse(first)));
    let mut precedence = Precedence::free(count);
    for (first, later) in pairs {
        precedence.add(first, later);
    }
    precedence
}

#[cfg(test)]
mod tests {
    use super::*;
    use hoopwright_sdk::geometry::geo::polygon;
    use hoopwright_sdk::prelude::*;

    fn square(x: f64) -> Option<Footprint> {
        let area =
            polygon![(x: x, y: 0.), (x: x + 10., y: 0.), (x: x + 10., y: 10.), (x: x, y: 10.)];
        Footprint::of(&Object::of_region("s", &area.into()))
    }

    #[test]
    fn only_overlaps_bind_and_what_follows_is_left_out() {
        // 0, 1 and 2 lie on each other; 3 lies apart; 4 lies on 2 only.
        let footprints = [
            square(0.),
            square(1.),
            square(2.),
            square(50.),
            square(11.5),
        ];
        let precedence = of_overlaps(&footprints, &[true; 5], &[true; 5], 0.2);
        assert_eq!(
            precedence.before,
            [vec![], vec![0], vec![1], vec![], vec![2]]
        );
    }

    #[test]
    fn the_unselected_form_a_chain() {
        let footprints = [square(0.), square(50.), square(100.), None];
        let precedence = of_overlaps(&footprints, &[true; 4], &[false, true, false, false], 0.2);
        assert_eq!(precedence.before, [vec![], vec![], vec![0], vec![2]]);
    }

    /// A fill with its border, and beside it another whose border runs along the common edge: the first
    /// border's end reaches a little beneath the second fill, and there the second border lies over it.
    #[test]
    fn an_overlap_beneath_what_lies_over_both_binds_nothing() {
        let oblong = |x: f64, y: f64, wide: f64, high: f64| {
            let area = polygon![(x: x, y: y), (x: x + wide, y: y), (x: x + wide, y: y + high), (x: x, y: y + high)];
            Footprint::of(&Object::of_region("o", &area.into()))
        };
        let end = || oblong(0., 9., 10.3, 1.);
        let fill = || oblong(10., 0., 10., 20.);
        let border = || oblong(9.5, 0., 1., 20.);
        let before = |objects: [Option<Footprint>; 3], hides: bool| {
            of_overlaps(&objects, &[true, true, hides], &[true; 3], 0.1).before
        };
        assert_eq!(
            before([end(), fill(), border()], true),
            [vec![], vec![], vec![1, 0]]
        );
        // Where it lets through what lies beneath, or shows beside it, the end must stay beneath.
        assert_eq!(
            before([end(), fill(), border()], false),
            [vec![], vec![0], vec![1]]
        );
        let far = oblong(9.5, 0., 1., 9.2);
        assert_eq!(
            before([end(), fill(), far], true),
            [vec![], vec![0], vec![1]]
        );
        // What lies beneath both hides nothing.
        assert_eq!(
            before([border(), end(), fill()], true),
            [vec![], vec![0], vec![1]]
        );
    }
}
