//! The step `STEP-NAME`: moves objects apart, away from the middle of them all.

use hoopwright_sdk::Placement;
use hoopwright_sdk::bounds::{Bounds, MeasuredBy};
use hoopwright_sdk::prelude::*;

/// What lies so near to the middle, in mm, has no side to go to.
const MIDDLE: f64 = 0.1;

settings! {
    /// Moves the selected objects away from the middle of them all.
    pub struct Settings {
        /// How far each object is moved, in mm, 0 to 100. Default 3.
        pub by: f64 = 3.0, in "mm", from 0.0 to 100.0;
    }
}

/// Moves the objects at the places `selected`, with their stitches.
pub fn process(
    mut design: Design,
    selected: &[usize],
    settings: &Settings,
) -> Result<Design, Failure> {
    let bounds = |object: &Object| Bounds::of(object, MeasuredBy::AsDrawn);
    let all = selected
        .iter()
        .filter_map(|&place| bounds(&design.objects[place]));
    let Some(around) = Bounds::around(all) else {
        messages::report(
            Finding::note("Nothing that was selected has a place on the cloth.")
                .help("Select drawn or sewn objects."),
        );
        return Ok(design);
    };
    let middle = around.centre();
    for &place in selected {
        let object = &mut design.objects[place];
        let Some(own) = bounds(object) else {
            continue;
        };
        let way = own.centre() - middle;
        let length = way.x.hypot(way.y);
        if length > MIDDLE {
            let by = way / length * settings.by;
            messages::debug(&format!("\"{}\" goes {:.1}, {:.1} mm", object.id, by.x, by.y));
            object.place(&Placement::moving(by))?;
        }
    }
    Ok(design)
}

design_step! {
    name: "STEP-NAME",
    summary: "Moves objects apart, away from the middle of them all.",
    settings: Settings,
    process: process,
}
