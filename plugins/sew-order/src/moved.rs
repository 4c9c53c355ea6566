//! Objects moved to the beginning or the end of the design by hand, as far as overlap allows.

use crate::precedence::Precedence;
use hoopwright_sdk::prelude::*;

/// Where the selected objects go.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum End {
    Beginning,
    End,
}

/// The order with the objects at the places `selected` moved. All others keep theirs, and so do
/// the selected ones among themselves. `overlaps` must follow from overlap alone.
pub(crate) fn to(
    end: End,
    objects: &[Object],
    selected: &[bool],
    overlaps: &Precedence,
) -> Vec<usize> {
    let count = objects.len();
    // To the end is to the beginning of the reversed order.
    let walk: Vec<usize> = match end {
        End::Beginning => (0..count).collect(),
        End::End => (0..count).rev().collect(),
    };
    let in_the_way = |place: usize| match end {
        End::Beginning => &overlaps.before[place],
        End::End => &overlaps.after[place],
    };
    let mut order: Vec<usize> = walk.iter().copied().filter(|&i| !selected[i]).collect();
    for place in walk.into_iter().filter(|&place| selected[place]) {
        let blocking = order
            .iter()
            .rposition(|other| in_the_way(place).contains(other));
        let mut at = blocking.map_or(0, |at| at + 1);
        while order.get(at).is_some_and(|&other| selected[other]) {
            at += 1;
        }
        let stays_behind = order[..at].iter().any(|&other| !selected[other]);
        if stays_behind && let Some(blocking) = blocking.and_then(|at| order.get(at)) {
            report(end, &objects[place], &objects[*blocking]);
        }
        order.insert(at, place);
    }
    if end == End::End {
        order.reverse();
    }
    order
}

fn report(end: End, object: &Object, blocking: &Object) {
    let (whither, lies) = match end {
        End::Beginning => ("first", "beneath"),
        End::End => ("last", "on top of"),
    };
    let finding = Finding::warning(format!(
        "\"{}\" cannot be sewn {whither} of all: \"{}\" lies {lies} it.",
        object.name, blocking.name
    ));
    messages::report(finding.about(&object.id).help(format!(
        "It was moved as far as that. Select \"{}\" too, or let the two touch only.",
        blocking.name
    )));
}
