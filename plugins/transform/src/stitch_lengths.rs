//! What scaling does to stitches that are there already.

use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;

/// The shortest stitch that sews well, in mm (common practice).
const SHORTEST: f64 = 0.5;

/// The shortest stitch of a tie, in mm (common practice).
const SHORTEST_TIE: f64 = 0.3;

/// The longest move of one record of a DST file along each axis, in mm.
const LONGEST: f64 = 12.1;

/// Warns where stitches of `before` have become too short or too long to sew in `after`.
pub(crate) fn warn(before: &Object, after: &Object) {
    let mut short = 0;
    let mut long = 0;
    let mut extremes = (f64::INFINITY, 0.0_f64);
    for ((old, least), (new, _)) in lengths(before).zip(lengths(after)) {
        let slack = 1e-9;
        let too_short = new < least - slack && old >= least - slack;
        let too_long = new > LONGEST + slack && old <= LONGEST + slack;
        if too_short || too_long {
            short += usize::from(too_short);
            long += usize::from(too_long);
            extremes = (extremes.0.min(new), extremes.1.max(new));
        }
    }
    if short == 0 && long == 0 {
        return;
    }
    let mut parts = Vec::new();
    if short > 0 {
        parts.push(format!(
            "{short} of its stitches became too short to sew, the shortest {:.2} mm",
            extremes.0
        ));
    }
    if long > 0 {
        parts.push(format!(
            "{long} became too long for one stitch, the longest {:.1} mm",
            extremes.1
        ));
    }
    messages::report(
        Finding::warning(format!(
            "Scaling moved the stitches too: {}.",
            parts.join("; ")
        ))
        .about(&after.id)
        .help(
            "Run `transform` before the steps that make stitches: then they are laid anew, at \
                 the right length and density.",
        ),
    );
}

/// The length of each stitch, and the least it should have.
fn lengths(object: &Object) -> impl Iterator<Item = (f64, f64)> {
    let mut last: Option<Stitch> = None;
    stitches_of(&object.stitches).filter_map(move |stitch| {
        let from = last.replace(stitch)?;
        let sewn = from.kind == StitchKind::Needle && stitch.kind == StitchKind::Needle;
        let least = if stitch.role == StitchRole::Tie {
            SHORTEST_TIE
        } else {
            SHORTEST
        };
        sewn.then(|| (distance(from.at, stitch.at), least))
    })
}
