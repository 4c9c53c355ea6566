//! What is sewn first and last by choice, as far as the drawing allows it.

use crate::footprint::Footprint;
use crate::precedence::Precedence;
use crate::{Background, Outlines, SewOrder};
use hoopwright_sdk::prelude::*;

/// When an object is sewn, by choice.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Phase {
    /// The background.
    First,
    /// All else.
    Main,
    /// Outlines.
    Last,
}

/// The phase of each object. Objects keep clear of a phase that would break `precedence`, and
/// those that are not selected have none of their own.
pub(crate) fn of(
    objects: &[Object],
    selected: &[bool],
    footprints: &[Option<Footprint>],
    precedence: &Precedence,
    settings: &SewOrder,
) -> Vec<Phase> {
    let mut phases = vec![Phase::Main; objects.len()];
    // Precedence follows the incoming order, so one pass each way sees all that lies beneath or above.
    for place in backgrounds(objects, selected, footprints, settings) {
        let beneath = &precedence.before[place];
        if beneath.iter().all(|&b| phases[b] == Phase::First) {
            phases[place] = Phase::First;
        }
    }
    let mut kept = 0;
    if settings.outlines == Outlines::Last {
        for place in (0..objects.len()).rev() {
            let outline = selected[place] && is_outline(&objects[place], &settings.outline_tag);
            if outline && phases[place] == Phase::Main {
                let above = &precedence.after[place];
                if above.iter().all(|&a| phases[a] == Phase::Last) {
                    phases[place] = Phase::Last;
                } else {
                    kept += 1;
                }
            }
        }
    }
    if kept > 0 {
        messages::report(Finding::note(format!(
            "{kept} outlines are not sewn last, because something is drawn over them."
        )));
    }
    phases
}

fn is_outline(object: &Object, tag: &str) -> bool {
    matches!(object.shape, Shape::Lines(_)) || has_tag(object, tag)
}

fn has_tag(object: &Object, tag: &str) -> bool {
    !tag.is_empty() && object.tags.iter().any(|t| t == tag)
}

/// The places of the background's objects, in order.
fn backgrounds(
    objects: &[Object],
    selected: &[bool],
    footprints: &[Option<Footprint>],
    settings: &SewOrder,
) -> Vec<usize> {
    if settings.background == Background::Free {
        return Vec::new();
    }
    let chosen = (0..objects.len()).filter(|&place| selected[place]);
    if !settings.background_tag.is_empty() {
        let tagged: Vec<usize> = chosen
            .filter(|&place| has_tag(&objects[place], &settings.background_tag))
            .collect();
        if tagged.is_empty() {
            messages::report(
                Finding::warning(format!(
                    "No selected object has the tag \"{}\", so there is no background to sew first.",
                    settings.background_tag
                ))
                .help("Leave `background-tag` empty for the largest region, or give the background that tag."),
            );
        }
        return tagged;
    }
    let size = |place: &usize| footprints[*place].as_ref().map_or(0.0, |f| f.size);
    chosen
        .filter(|&place| matches!(objects[place].shape, Shape::Region(_)))
        .max_by(|a, b| {
            // Of equals the smaller id, so that the choice does not hang on the incoming order.
            let by_size = size(a).total_cmp(&size(b));
            by_size.then_with(|| objects[*b].id.cmp(&objects[*a].id))
        })
        .into_iter()
        .collect()
}
