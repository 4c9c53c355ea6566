//! The stock step `tuck-under`: lets what is sewn first go on beneath the neighbours that it only touches.
//!
//! The way of the data: [`neighbours`] finds, for each selected region, those sewn after it that touch it;
//! [`tuck`] adds to it what lies beneath them within the underlap, and that work is given out.

mod neighbours;
mod tuck;

use hoopwright_sdk::piecework::Piecework;
use hoopwright_sdk::prelude::*;
use hoopwright_sdk::selection;
use neighbours::Neighbours;
use tuck::Beside;

settings! {
    /// Lets what is sewn first go on beneath the neighbours that it only touches.
    pub struct TuckUnder {
        /// How far a region goes on beneath a neighbour that is sewn after it, with what lies beneath it
        /// already. Default 0.5. Common practice is 0.3 to 0.5 on firm woven cloth and up to 1 on
        /// stretchy cloth; where the rows of both lie in the same direction, 1 to 2.
        pub underlap: f64 = 0.5, in "mm", from 0.1 to 3.0;
        /// Neighbours no farther apart than this touch, and the gap between them is closed. Default
        /// 0.05: wider gaps are drawn on purpose.
        pub gap: f64 = 0.05, in "mm", from 0.0 to 0.3;
        /// Objects with one of these tags stay as they are, and nothing goes on beneath them, such as
        /// a sheer decoration that lets the lower thread shine through. Default none.
        pub leave_out: Vec<String> = Vec::new();
    }
}

/// Tucks the objects at the places `selected` under their neighbours.
///
/// # Errors
/// None: what has no neighbour stays as it is, and so does what has stitches.
pub fn tuck_under(
    mut design: Design,
    selected: &[usize],
    settings: &TuckUnder,
) -> Result<Design, Failure> {
    let may_change = selection::flags(design.objects.len(), selected);
    let neighbours = Neighbours::of(&design.objects, settings);
    let is_region = |place: usize| matches!(design.objects[place].shape, Shape::Region(_));
    let regions = (0..design.objects.len()).filter(|&place| may_change[place] && is_region(place));
    let beside = regions.filter_map(|place| Some((place, Beside::of(place, &neighbours)?)));
    let (places, beside): (Vec<usize>, Vec<Beside>) = beside.unzip();
    let (mut tucked, mut added) = (0, 0.0);
    for (place, wider) in places.into_iter().zip(settings.give_out(beside)) {
        let Some(wider) = wider else {
            continue;
        };
        let object = &design.objects[place];
        if !object.stitches.is_empty() {
            messages::report(
                Finding::warning(
                    "It has stitches already, so it does not go on beneath its neighbours.",
                )
                .about(&object.id)
                .help("Put this step before those that make stitches."),
            );
            continue;
        }
        tucked += 1;
        added += wider.by;
        design.objects[place].shape = Shape::Region(wider.area);
    }
    messages::report(Finding::note(match tucked {
        0 => "No selected region only touches what is sewn after it.".to_owned(),
        1 => format!("1 region goes on beneath its neighbours: {added:.1} mm² more."),
        _ => format!("{tucked} regions go on beneath their neighbours: {added:.1} mm² more."),
    }));
    Ok(design)
}

design_step! {
    name: "tuck-under",
    summary: "Lets what is sewn first go on beneath the neighbours that it only touches.",
    manual: include_str!("../manual.md"),
    settings: TuckUnder,
    process: tuck_under,
}

hoopwright_sdk::piece_worker!(TuckUnder);
