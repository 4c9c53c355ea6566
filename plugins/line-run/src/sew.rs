//! The run's stitches.

use crate::LineRun;
use crate::chain::{TOUCH, join_touching};
use crate::drawn::{Drawn, SHORTEST_LINE};
use crate::route::{Ends, plan};
use geometry::measure::distance;
use geometry::resample::{Spacing, along};
use hoopwright_sdk::prelude::*;
use hoopwright_sdk::stitch_making::LONGEST_STITCH;

/// What `object` holds after `lines` are sewn.
pub fn sew(object: &Object, lines: Vec<Drawn>, settings: &LineRun) -> Vec<StitchBlock> {
    let mut stitches = StitchList::new();
    if settings.add {
        stitches.extend(stitches_of(&object.stitches));
    }
    let wanted: Option<Coord<f64>> = object.sewing.start.map(Into::into);
    let ends = Ends {
        start: stitches.last().or(wanted),
        finish: object.sewing.finish.map(Into::into),
    };
    let mut lines = join_touching(plan(&lines, ends, false));
    if settings.passes.returns() {
        lines = plan(&lines, ends, true);
    }
    let spacing = spacing(object, settings);
    let mut run = StitchList::new();
    for line in lines {
        let places = along(&line.to_line_string(), spacing);
        if places
            .windows(2)
            .any(|stitch| distance(stitch[0], stitch[1]) < SHORTEST_LINE * (1.0 - 1e-9))
        {
            report_crowded(object, &line);
            continue;
        }
        lay(&mut run, settings.passes.needle_places(places));
    }
    stitches.go_on(stitches_of(&run.into_blocks()));
    stitches.into_blocks()
}

/// Lays one line, joined to the one before.
fn lay(stitches: &mut StitchList, places: Vec<Coord<f64>>) {
    let (Some(&first), Some(&second)) = (places.first(), places.get(1)) else {
        return;
    };
    let touches = stitches.last().is_some_and(|last| {
        let step = distance(last, second);
        distance(last, first) <= TOUCH && (TOUCH..=LONGEST_STITCH).contains(&step)
    });
    if !touches {
        if !stitches.is_empty() {
            stitches.jump(first);
        }
        stitches.needle(StitchRole::Cover, first);
    }
    for place in places.into_iter().skip(1) {
        stitches.needle(StitchRole::Cover, place);
    }
}

fn spacing(object: &Object, settings: &LineRun) -> Spacing {
    let longest = object.stitch_length_or(settings.stitch_length, 0.5..=LONGEST_STITCH);
    Spacing {
        longest,
        // Above two fifths, some lengths divide into no number of steps between the two.
        shortest: settings
            .shortest_stitch
            .min(longest * 0.4)
            .max(SHORTEST_LINE),
        corner: settings.corner,
        tolerance: settings.tolerance,
    }
}

fn report_crowded(object: &Object, line: &Drawn) {
    messages::report(
        Finding::warning(format!(
            "a line is so tangled in a small place that it needs stitches under {SHORTEST_LINE} \
             mm; it is left out"
        ))
        .about(&object.id)
        .at(line.corners[0])
        .help("Simplify it, or draw it larger."),
    );
}
