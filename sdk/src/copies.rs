//! Copies of objects: their ids, and where they come in the sewing order.

use crate::{Design, Object, choices};
use std::collections::{BTreeMap, BTreeSet};

choices! {
    /// Where copies come in the sewing order.
    pub enum CopiesCome {
        /// Each right after its original: above what its original lies above, and below what lies
        /// above its original. Copies of one thread are sewn one after the other.
        #[default]
        AfterEach,
        /// After the last of the originals, copy by copy: each copy as a whole lies above all
        /// originals and above the copies before it, as scales or roof tiles do.
        AfterAll,
    }
}

/// Gives copies and new objects ids that no other object has.
#[derive(Clone, Debug)]
pub struct Ids {
    taken: BTreeSet<String>,
    /// Where to go on counting for what was wanted before: no id becomes free again.
    next: BTreeMap<String, u64>,
}

impl Ids {
    /// Knows the ids in `design`.
    pub fn of(design: &Design) -> Self {
        Self {
            taken: design.objects.iter().map(|o| o.id.clone()).collect(),
            next: BTreeMap::new(),
        }
    }

    /// The id `wanted`, and a number from 2 behind it where that is taken. The same design gives the
    /// same ids each time.
    pub fn free(&mut self, wanted: &str) -> String {
        let mut id = wanted.to_owned();
        if self.taken.contains(&id) {
            let next = self.next.entry(id.clone()).or_insert(2);
            // There are more numbers than objects.
            while self.taken.contains(&id) {
                id = format!("{wanted}-{next}");
                *next += 1;
            }
        }
        self.taken.insert(id.clone());
        id
    }

    /// An id made of `original` and `suffix`, and of a number from 2 where that is taken. The same
    /// design gives the same ids each time.
    pub fn derived(&mut self, original: &str, suffix: &str) -> String {
        self.free(&format!("{original}-{suffix}"))
    }
}

impl Object {
    /// Makes this a copy of its own: a new id and name, and `tag` beside its tags unless that is
    /// empty or there.
    pub fn become_copy(&mut self, ids: &mut Ids, suffix: &str, tag: &str) {
        self.id = ids.derived(&self.id, suffix);
        self.name = format!("{}-{suffix}", self.name);
        if !tag.is_empty() && !self.tags.iter().any(|own| own == tag) {
            self.tags.push(tag.to_owned());
        }
    }
}

/// A copy, and the place in the design of what it was made of.
#[derive(Clone, Debug, PartialEq)]
pub struct Copied {
    /// The place of the original in the design's objects.
    pub original: usize,
    /// The copy.
    pub object: Object,
}

/// Puts `copies` into `design`. They come in the order given, which is copy by copy of the whole
/// group.
pub fn insert(design: &mut Design, copies: Vec<Copied>, come: CopiesCome) {
    let last = copies.iter().map(|copy| copy.original).max();
    let count = design.objects.len();
    let mut after: Vec<Vec<Object>> = (0..count).map(|_| Vec::new()).collect();
    for copy in copies {
        let place = match come {
            CopiesCome::AfterEach => Some(copy.original),
            CopiesCome::AfterAll => last,
        };
        if let Some(list) = place.and_then(|place| after.get_mut(place)) {
            list.push(copy.object);
        }
    }
    design.objects = std::mem::take(&mut design.objects)
        .into_iter()
        .zip(after)
        .flat_map(|(object, copies)| std::iter::once(object).chain(copies))
        .collect();
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Shape;

    fn design() -> Design {
        Design::on_page(
            0.,
            0.,
            ["eye", "beak", "pupil", "pupil-copy"]
                .map(|id| Object::new(id, Shape::Manual))
                .to_vec(),
        )
    }

    /// An id has the least number from 2 that nothing else has; counted by hand.
    #[test]
    fn ids_are_numbered_from_two_past_those_that_are_taken() {
        let taken = ["s-piece-3", "s-piece-2-2"].map(|id| Object::new(id, Shape::Manual));
        let mut ids = Ids::of(&Design::on_page(0., 0., taken.to_vec()));
        let given = ["s", "s", "s-2", "s-3", "s"].map(|id| ids.derived(id, "piece"));
        assert_eq!(
            given,
            [
                "s-piece",
                "s-piece-2",
                "s-2-piece",
                "s-3-piece",
                "s-piece-4"
            ]
        );
        let given = ["s-piece-2", "s-piece", "s-piece-2", "s-piece"].map(|id| ids.free(id));
        assert_eq!(
            given,
            ["s-piece-2-3", "s-piece-5", "s-piece-2-4", "s-piece-6"]
        );
    }

    fn order(come: CopiesCome) -> Vec<String> {
        let mut design = design();
        let mut ids = Ids::of(&design);
        let mut copies = Vec::new();
        for _ in 0..2 {
            for original in [0, 2] {
                let mut object = design.objects[original].clone();
                object.id = ids.derived(&object.id, "copy");
                copies.push(Copied { original, object });
            }
        }
        insert(&mut design, copies, come);
        design.objects.into_iter().map(|object| object.id).collect()
    }

    #[test]
    fn copies_keep_the_painted_order_or_come_as_wholes() {
        assert_eq!(
            order(CopiesCome::AfterEach),
            [
                "eye",
                "eye-copy",
                "eye-copy-2",
                "beak",
                "pupil",
                "pupil-copy-2",
                "pupil-copy-3",
                "pupil-copy"
            ]
        );
        assert_eq!(
            order(CopiesCome::AfterAll),
            [
                "eye",
                "beak",
                "pupil",
                "eye-copy",
                "pupil-copy-2",
                "eye-copy-2",
                "pupil-copy-3",
                "pupil-copy"
            ]
        );
    }
}
