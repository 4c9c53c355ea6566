//! What was done, in words.

use crate::path::{Path, SAME_PLACE, Side};
use crate::snap::Snapped;
use crate::{Reaches, SnapEnds};
use hoopwright_sdk::prelude::*;
use std::collections::BTreeSet;

/// Says how many ends were snapped and how far, and which could not go on straight.
pub(crate) fn report(objects: &[Object], paths: &[Path], snapped: &Snapped, settings: &SnapEnds) {
    let ends = paths
        .iter()
        .flat_map(|path| Side::BOTH.map(|side| (path, side)));
    let moved: Vec<(&Path, Side)> = ends
        .filter(|(path, side)| path.moved(*side) > SAME_PLACE)
        .collect();
    let farthest = moved.iter().copied().reduce(|most, one| {
        if one.0.moved(one.1) > most.0.moved(most.1) {
            one
        } else {
            most
        }
    });
    let Some((path, side)) = farthest else {
        messages::report(Finding::note(format!(
            "None of the {} ends had something to be snapped onto within {} mm, or all lie on it \
             already.",
            2 * paths.len(),
            settings.reach
        )));
        return;
    };
    let changed: BTreeSet<usize> = moved.iter().map(|(path, _)| path.object).collect();
    let id = |path: &Path| {
        objects
            .get(path.object)
            .map_or("", |object| object.id.as_str())
    };
    messages::report(
        Finding::note(format!(
            "{} of {} ends were snapped, in {} objects. The farthest was moved {:.2} mm.",
            moved.len(),
            2 * paths.len(),
            changed.len(),
            path.moved(side)
        ))
        .about(id(path))
        .at(path.end_now(side)),
    );
    let bent = snapped.bent_anyway.first();
    if let Some(end) = bent
        && settings.reaches == Reaches::Lengthened
    {
        let path = &paths[end.path];
        messages::report(
            Finding::note(format!(
                "{} ends were bent, for going on straight led nowhere within {} mm.",
                snapped.bent_anyway.len(),
                settings.reach
            ))
            .about(id(path))
            .at(path.end_now(end.side)),
        );
    }
}
