//! The stock step `starts-and-finishes`: chooses where objects begin and end, so that the next one
//! begins where the last one ends, or so that the way between them lies under what is sewn later.
//!
//! The way of the data: each object by itself tells how it begins and ends and what it hides ([`alone`]);
//! [`outline`] says where that can be; [`ground`] which
//! pieces of the design touch, and so what hangs together beneath the objects still to be sewn;
//! [`candidates`] picks a few places for each object; [`plan`] chooses among them for a whole block
//! of one thread at once, asks [`beneath`] how long the hidden ways are that it chose, and [`account`]
//! says what came of it.

mod account;
mod alone;
mod beneath;
mod candidates;
mod ground;
mod outline;
mod plan;

use beneath::Beneath;
use ground::Ground;
use hoopwright_sdk::prelude::*;
use hoopwright_sdk::selection;
use outline::Outline;

settings! {
    /// Chooses where the selected objects begin and end.
    pub struct StartsAndFinishes {
        /// The longest way between two objects that is left open on the cloth. Default 5: set it to
        /// what the step `ties-and-trims` has.
        #[schemars(extend("agrees-with" = "ties-and-trims"))]
        pub trim_over: f64 = 5.0, in "mm", from 1.0 to 100.0;
        /// The longest way between two objects that may lie hidden under what is sewn later.
        /// Default 30; 0 reckons with none. Set it to what the step `ties-and-trims` has.
        #[schemars(extend("agrees-with" = "ties-and-trims"))]
        pub hidden_travel: f64 = 30.0, in "mm", from 0.0 to 200.0;
        /// Regions at least this wide are fills, which begin and end anywhere on their edge; narrower
        /// ones are satin, which begins and ends at the ends of its columns. Measured as the largest
        /// circle that fits inside. Default 5: set it to the width from which the pipeline fills
        /// regions.
        pub fills_from: f64 = 5.0, in "mm", from 0.5 to 50.0;
        /// Lines at least this wide are sewn as satin, and hide the thread's way beneath them; finer
        /// ones hide nothing. Default 1: set it to the width from which the pipeline sews lines as
        /// satin, but not below 0.8, where satin no longer hides.
        pub line_hides_from: f64 = 1.0, in "mm", from 0.8 to 50.0;
    }
}

/// Chooses where the objects at the places `selected` begin and end. Places that are set already,
/// by the artwork or by hand, stay; so does what has stitches.
///
/// # Errors
/// None: an object that shows nothing is passed by.
pub fn starts_and_finishes(
    mut design: Design,
    selected: &[usize],
    settings: &StartsAndFinishes,
) -> Result<Design, Failure> {
    let objects = &design.objects;
    let is_selected = selection::flags(objects.len(), selected);
    let alone = alone::of_each(objects, settings);
    let hides = alone
        .iter()
        .map(|it| Some(it.hides.as_ref()?.to_multi_polygon()));
    let hides: Vec<_> = hides.collect();
    let outlines = objects.iter().zip(alone);
    let outlines = outlines.map(|(object, it)| Outline::of(object, it.ends.told(Coord::from)));
    let outlines: Vec<_> = outlines.collect();
    let ground = Ground::of(&hides);
    let blocks = plan::blocks(objects, &outlines);
    let beneath = Beneath::of(&hides);
    let (chosen, account) = plan::choose(&blocks, &outlines, &ground, &beneath, settings);
    for choice in chosen {
        if let Some(object) = design.objects.get_mut(choice.object)
            && is_selected[choice.object]
            && object.stitches.is_empty()
        {
            let sewing = &mut object.sewing;
            sewing.start = sewing.start.or(choice.start.map(Point::from));
            sewing.finish = sewing.finish.or(choice.finish.map(Point::from));
        }
    }
    account.report();
    Ok(design)
}

design_step! {
    name: "starts-and-finishes",
    summary: "Chooses where objects begin and end, so that little travel lies open and few trims are needed.",
    manual: include_str!("../manual.md"),
    settings: StartsAndFinishes,
    process: starts_and_finishes,
}

hoopwright_sdk::piece_worker!(StartsAndFinishes);
