//! The design with joined objects in the place of their pieces.

use crate::line::Line;
use crate::network::Part;
use crate::outlines::{Kind, Outline};
use crate::trail::{Manner, Trail};
use crate::{Weight, report};
use hoopwright_sdk::copies::Ids;
use hoopwright_sdk::{Lines, prelude::*};
use std::collections::{BTreeMap, BTreeSet};

/// A joined object, and what it takes from the design.
#[derive(Clone, Debug)]
pub struct Joined {
    /// The places of the objects it was made of, in rising order.
    pub from: Vec<usize>,
    /// The new object; its id is still that of its first piece.
    pub object: Object,
}

impl Joined {
    /// The object that sews `part` along `trail`.
    pub fn new(
        design: &Design,
        kind: &Kind,
        lines: &[Line],
        part: &Part,
        trail: Trail,
        manner: Manner,
    ) -> Self {
        let from: BTreeSet<usize> = part.lines.iter().map(|&line| lines[line].object).collect();
        let from: Vec<usize> = from.into_iter().collect();
        let pieces: Vec<&Object> = from.iter().map(|&place| &design.objects[place]).collect();
        let mut object = pieces[0].clone();
        for piece in &pieces[1..] {
            for tag in &piece.tags {
                if !object.tags.contains(tag) {
                    object.tags.push(tag.clone());
                }
            }
            for mark in &piece.sewing.direction_marks {
                // A mark may count for several pieces.
                if !object.sewing.direction_marks.contains(mark) {
                    object.sewing.direction_marks.push(*mark);
                }
            }
            object.sewing.start = object.sewing.start.or(piece.sewing.start);
            object.sewing.finish = object.sewing.finish.or(piece.sewing.finish);
        }
        let width = match &object.shape {
            Shape::Lines(lines) => lines.width,
            Shape::Region(_) | Shape::Manual => kind.width(),
        };
        object.shape = Shape::Lines(Lines {
            paths: trail.paths.clone(),
            width,
        });
        if manner.weight == Weight::EvenTriple {
            object.sewing.stitch_length = Some(manner.stitch_length);
        }
        object.stitches.clear();
        report::report(&object.id, part, &pieces, &trail, manner.weight);
        Self { from, object }
    }
}

/// Puts each joined object in the place of its LAST piece, for outlines belong last: what lies
/// below any of the pieces is still sewn before. Lines that hang on nothing stay where they are.
pub fn replace(design: &mut Design, outlines: &[Outline], mut all: Vec<Joined>, used: &[Line]) {
    all.sort_by_key(|joined| joined.from[0]);
    let mut taken: BTreeMap<usize, BTreeSet<usize>> = BTreeMap::new();
    for line in used {
        taken.entry(line.object).or_default().insert(line.path);
    }
    let mut ids = Ids::of(design);
    let mut rest: BTreeMap<usize, Object> = BTreeMap::new();
    for outline in outlines {
        let object = &design.objects[outline.object];
        if let Some(taken) = taken.get(&outline.object)
            && let Some(left) = left_over(object, outline, taken, &mut ids)
        {
            rest.insert(outline.object, left);
        }
    }
    let mut placed: BTreeMap<usize, Vec<Object>> = BTreeMap::new();
    let mut has_id = BTreeSet::new();
    for mut joined in all {
        if !has_id.insert(joined.from[0]) {
            joined.object.id = ids.derived(&joined.object.id, "part");
        }
        let last = joined.from[joined.from.len() - 1];
        placed.entry(last).or_default().push(joined.object);
    }
    let before = std::mem::take(&mut design.objects);
    for (place, object) in before.into_iter().enumerate() {
        match rest.remove(&place) {
            Some(left) => design.objects.push(left),
            None if taken.contains_key(&place) => {}
            None => design.objects.push(object),
        }
        design
            .objects
            .extend(placed.remove(&place).unwrap_or_default());
    }
}

/// What an object keeps when some of its paths went into a joined one: a new object, for the
/// joined one has the id.
fn left_over(
    object: &Object,
    outline: &Outline,
    taken: &BTreeSet<usize>,
    ids: &mut Ids,
) -> Option<Object> {
    let paths = outline.paths.iter().enumerate();
    let left: Vec<Polyline> = paths
        .filter(|(path, _)| !taken.contains(path))
        .map(|(_, drawn)| drawn.clone())
        .collect();
    if left.is_empty() {
        return None;
    }
    let mut rest = object.clone();
    rest.id = ids.derived(&object.id, "rest");
    rest.shape = Shape::Lines(Lines {
        paths: left,
        width: outline.width.unwrap_or(0.0),
    });
    rest.stitches.clear();
    Some(rest)
}
