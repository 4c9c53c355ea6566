//! What the digitizer is told of an order.

use crate::cost::Cost;
use hoopwright_sdk::prelude::*;

/// Reports what the order costs before and after, beside what no order goes below.
pub(crate) fn report(before: Cost, after: Cost, least_changes: Option<usize>, least_trims: usize) {
    let proof = |reached: usize, least: usize| {
        if reached <= least {
            "the fewest possible".to_owned()
        } else {
            format!("at least {least} are needed")
        }
    };
    let changes = least_changes.map_or_else(String::new, |least| {
        format!(" ({})", proof(after.changes, least))
    });
    let trims = if after.trims <= least_trims {
        "the fewest with these changes".to_owned()
    } else {
        format!("with these changes at least {least_trims} are needed")
    };
    messages::report(Finding::note(format!(
        "Thread changes {} before, {} after{changes}; trims between objects of one thread {} \
         before, {} after ({trims}); travel between them {:.1} mm before, {:.1} mm after.",
        before.changes, after.changes, before.trims, after.trims, before.travel, after.travel
    )));
}
