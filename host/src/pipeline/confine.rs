//! The objects that steps within parts may act on.

use super::layout::Group;
use super::measures::Measures;
use crate::design::{Design, Object};
use std::collections::BTreeSet;

/// The parts that a run is in, from the outermost to the innermost, each with its world.
#[derive(Clone, Default)]
pub(super) struct Confines(Vec<World>);

/// What belongs to a part: the objects that its selection took when it began, and what its steps made.
#[derive(Clone)]
struct World {
    group: usize,
    ids: BTreeSet<String>,
}

impl Confines {
    /// Leaves the parts that the next step does not stand in, and begins those that it does. Gives the
    /// parts that begin with nothing to act on, those within such parts left aside.
    pub fn go_to(
        &mut self,
        within: Option<usize>,
        groups: &[Group],
        design: &Design,
        measures: &mut Measures,
    ) -> Vec<usize> {
        let mut way: Vec<usize> =
            std::iter::successors(within, |&group| groups[group].within).collect();
        way.reverse();
        let open = self.0.iter().zip(&way);
        let stay = open
            .take_while(|(world, group)| world.group == **group)
            .count();
        self.0.truncate(stay);
        let mut empty = Vec::new();
        for &group in &way[stay..] {
            let outer_is_empty = self.0.last().is_some_and(|world| world.ids.is_empty());
            let places = groups[group].on.places_with(design, measures);
            let ids: BTreeSet<String> = self
                .keep(design, places)
                .into_iter()
                .map(|place| design.objects[place].id.clone())
                .collect();
            if ids.is_empty() && !outer_is_empty {
                empty.push(group);
            }
            self.0.push(World { group, ids });
        }
        empty
    }

    /// Those of `places` whose objects belong to the innermost part.
    pub fn keep(&self, design: &Design, mut places: Vec<usize>) -> Vec<usize> {
        if let Some(world) = self.0.last() {
            places.retain(|&place| world.ids.contains(&design.objects[place].id));
        }
        places
    }

    /// Whether the innermost part has nothing to act on.
    pub fn are_empty(&self) -> bool {
        self.0.last().is_some_and(|world| world.ids.is_empty())
    }

    /// A step made `after` of `before`: what is new belongs to all parts that it stands in, and what is
    /// gone to none.
    pub fn follow(&mut self, before: &[Object], after: &[Object]) {
        if self.0.is_empty() {
            return;
        }
        let there: BTreeSet<&str> = before.iter().map(|object| object.id.as_str()).collect();
        let now: BTreeSet<&str> = after.iter().map(|object| object.id.as_str()).collect();
        for world in &mut self.0 {
            world.ids.retain(|id| now.contains(id.as_str()));
            world
                .ids
                .extend(now.difference(&there).map(|&id| id.to_owned()));
        }
    }
}
