//! The selected objects moved to the front, to the back, or right after another object.

use crate::precedence::Precedence;
use crate::{MoveTo, SewOrder};
use hoopwright_sdk::prelude::*;

/// The places of all objects in the order after the move. Objects that are not selected keep their
/// order, and so do the selected ones that go to one place.
///
/// Each selected object stands before one of the others: before number `i` of them, or at the end.
/// What it overlaps bounds that number on either side, directly or through other selected objects,
/// and the wish is bent into those bounds. As the bounds rise along the precedence, so does the
/// result.
///
/// # Errors
/// When the object to move after is not in the design, or is itself to be moved.
pub(crate) fn moved(
    objects: &[Object],
    is_selected: &[bool],
    bound: &Precedence,
    settings: &SewOrder,
) -> Result<Vec<usize>, Failure> {
    let count = objects.len();
    let mut rank = vec![0; count];
    let mut others = 0;
    for place in 0..count {
        rank[place] = others;
        others += usize::from(!is_selected[place]);
    }
    let wish = match settings.move_to {
        MoveTo::Last => others,
        MoveTo::After => rank[target(objects, is_selected, &settings.after)?] + 1,
        MoveTo::First | MoveTo::Free => 0,
    };
    let (mut least, mut most) = (vec![0; count], vec![others; count]);
    for place in 0..count {
        for &first in &bound.before[place] {
            let bounded = if is_selected[first] {
                least[first]
            } else {
                rank[first] + 1
            };
            least[place] = least[place].max(bounded);
        }
    }
    for place in (0..count).rev() {
        for &later in &bound.after[place] {
            let bounded = if is_selected[later] {
                most[later]
            } else {
                rank[later]
            };
            most[place] = most[place].min(bounded);
        }
    }
    let mut held = Vec::new();
    let mut goal = |place: usize| {
        if !is_selected[place] {
            return (rank[place], 1);
        }
        let bent = wish.clamp(least[place], most[place].max(least[place]));
        if bent != wish {
            held.push(place);
        }
        let to = if settings.force { wish } else { bent };
        (to, 0)
    };
    let goals: Vec<(usize, u8)> = (0..count).map(&mut goal).collect();
    let mut order: Vec<usize> = (0..count).collect();
    order.sort_by_key(|&place| goals[place]);
    report(objects, &held, settings);
    Ok(order)
}

fn target(objects: &[Object], is_selected: &[bool], id: &str) -> Result<usize, Failure> {
    let found = objects.iter().position(|object| object.id == id);
    let Some(place) = found else {
        return Err(Failure::new(format!("There is no object with the id \"{id}\".")).help(
            "Give `after` the id of an object that is not selected; the design JSON shows all ids.",
        ));
    };
    if is_selected[place] {
        return Err(
            Failure::new("The object to move after is itself to be moved.")
                .about(id)
                .help("Select only what is to be moved."),
        );
    }
    Ok(place)
}

fn report(objects: &[Object], held: &[usize], settings: &SewOrder) {
    for &place in held {
        let id = &objects[place].id;
        messages::report(if settings.force {
            Finding::warning("It is moved past objects that it overlaps: another colour may show.")
                .about(id)
                .help("Leave `force` out to move it only as far as the drawing allows.")
        } else {
            Finding::note("It is not moved the whole way, because it overlaps what lies between.")
                .about(id)
                .help("Set `force` to move it all the same.")
        });
    }
}
