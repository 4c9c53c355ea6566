//! Which object must be sewn before which.

use crate::footprint::Footprint;
use crate::place_set::PlaceSet;
use hoopwright_sdk::geometry::boxes::Boxes;

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

/// The rule of overlap: of two objects that overlap, the one that came first stays first. Objects
/// that are not selected keep their order, so they form a chain. Pairs that follow from others
/// are left out.
pub(crate) fn of_overlaps(
    footprints: &[Option<Footprint>],
    selected: &[bool],
    tolerance: f64,
) -> Precedence {
    let count = footprints.len();
    let bounds = footprints.iter().map(|it| Some(it.as_ref()?.bounds));
    let boxes = Boxes::new(bounds.enumerate());
    let mut precedence = Precedence::free(count);
    // All that must come before each object, directly or not.
    let mut ancestors: Vec<PlaceSet> = Vec::with_capacity(count);
    let mut last_unselected: Option<usize> = None;
    for later in 0..count {
        let chained = last_unselected.filter(|_| !selected[later]);
        let footprint = footprints[later].as_ref();
        let near = footprint.map(|footprint| boxes.near(footprint.bounds, 0.0));
        let mut near = near.unwrap_or_default();
        near.retain(|&place| place < later);
        near.extend(chained);
        // The latest first: what must come before that one follows without a look. So exactly the
        // pairs that follow from no others are found (the transitive reduction, which is unique).
        near.sort_unstable_by(|a, b| b.cmp(a));
        let mut mine = PlaceSet::below(count);
        for first in near {
            let overlap = || match (footprint, &footprints[first]) {
                (Some(upper), Some(lower)) => upper.overlaps(lower, tolerance),
                _ => false,
            };
            if !mine.has(first) && (chained == Some(first) || overlap()) {
                precedence.add(first, later);
                mine.add(first);
                mine.add_all(&ancestors[first]);
            }
        }
        ancestors.push(mine);
        if !selected[later] {
            last_unselected = Some(later);
        }
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
        let precedence = of_overlaps(&footprints, &[true; 5], 0.2);
        assert_eq!(
            precedence.before,
            [vec![], vec![0], vec![1], vec![], vec![2]]
        );
    }

    #[test]
    fn the_unselected_form_a_chain() {
        let footprints = [square(0.), square(50.), square(100.), None];
        let precedence = of_overlaps(&footprints, &[false, true, false, false], 0.2);
        assert_eq!(precedence.before, [vec![], vec![], vec![0], vec![2]]);
    }
}
