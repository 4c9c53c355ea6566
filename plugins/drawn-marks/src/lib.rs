//! The stock step `drawn-marks`: takes marks drawn in the artwork as sewing settings of the objects
//! they lie on.
//!
//! [`mark`] reads what a tagged object says; [`owner`] finds the objects it is for.

mod mark;
mod owner;

use hoopwright_sdk::prelude::*;
use mark::{Mark, Tags};
use owner::Owner;
use std::collections::BTreeSet;

choices! {
    /// Which objects a direction mark is for.
    pub enum BelongsTo {
        /// The topmost object under its middle.
        #[default]
        Topmost,
        /// Every object that it crosses.
        All,
    }
}

settings! {
    /// Takes marks drawn in the artwork: stitch directions, starts and finishes.
    pub struct DrawnMarks {
        /// Lines with this tag are direction marks. Default `direction-mark`.
        pub direction_tag: String = "direction-mark".to_owned();
        /// What has this tag marks where the object under it begins. Default `start-mark`.
        pub start_tag: String = "start-mark".to_owned();
        /// What has this tag marks where the object under it ends. Default `finish-mark`.
        pub finish_tag: String = "finish-mark".to_owned();
        /// Which objects a direction mark is for. Default `topmost`.
        pub belongs_to: BelongsTo = BelongsTo::Topmost;
        /// A mark that lies on nothing is for the nearest object, if that is no farther away than
        /// this. Default 2.
        pub near: f64 = 2.0, in "mm", from 0.0 to 20.0;
    }
}

/// Gives the marks among the objects at the places `selected` to the others of them.
///
/// # Errors
/// Where two kinds of marks share a tag.
pub fn drawn_marks(
    mut design: Design,
    selected: &[usize],
    settings: &DrawnMarks,
) -> Result<Design, Failure> {
    let tags = Tags::new(settings)?;
    let mut owners = Vec::new();
    let mut marks = Vec::new();
    for &place in selected {
        let Some(object) = design.objects.get(place) else {
            continue;
        };
        match tags.kind_of(object) {
            Some(kind) => marks.push((place, kind)),
            None => owners.extend(Owner::of(place, object)),
        }
    }
    if marks.is_empty() {
        messages::report(
            Finding::note("Nothing that is selected is tagged as a mark.").help(format!(
                "Tag marks \"{}\", \"{}\" or \"{}\" in the artwork, or take the step out of the pipeline.",
                settings.direction_tag, settings.start_tag, settings.finish_tag
            )),
        );
        return Ok(design);
    }
    for &(place, kind) in &marks {
        let drawn = design.objects[place].clone();
        let read = mark::read(&drawn, kind);
        if read.is_empty() {
            messages::report(
                Finding::warning("This mark has no length or no place, and is not used.")
                    .about(&drawn.id)
                    .help("Draw a direction mark as a line; draw a start or finish mark as a dot."),
            );
        }
        for mark in read {
            give(&mark, &drawn.id, &owners, &mut design, settings);
        }
    }
    let gone: BTreeSet<usize> = marks.iter().map(|&(place, _)| place).collect();
    let mut place = 0;
    design.objects.retain(|_| {
        place += 1;
        !gone.contains(&(place - 1))
    });
    Ok(design)
}

/// Gives a mark to whom it belongs.
fn give(mark: &Mark, id: &str, owners: &[Owner], design: &mut Design, settings: &DrawnMarks) {
    let all = settings.belongs_to == BelongsTo::All;
    let found = match mark {
        Mark::Direction(line) if all => owner::crossed(owners, line),
        Mark::Direction(line) => {
            Vec::from_iter(owner::under(owners, mark::middle(line), settings.near))
        }
        Mark::Start(at) | Mark::Finish(at) => {
            Vec::from_iter(owner::under(owners, *at, settings.near))
        }
    };
    if found.is_empty() {
        messages::report(
            Finding::warning("This mark lies on no selected object, and is not used.")
                .about(id)
                .at(mark.place())
                .help("Draw it over the object it is for, and select both for this step."),
        );
    }
    for place in found {
        let sewing = &mut design.objects[place].sewing;
        let taken = match mark {
            Mark::Direction(line) => {
                sewing.direction_marks.extend(mark::pieces(line));
                None
            }
            Mark::Start(at) => sewing.start.replace((*at).into()),
            Mark::Finish(at) => sewing.finish.replace((*at).into()),
        };
        if taken.is_some() {
            let object = &design.objects[place].id;
            messages::report(
                Finding::warning("This object has more than one start or more than one finish; the last one counts.")
                    .about(object)
                    .at(mark.place())
                    .help("Draw one start mark and one finish mark at most for each object."),
            );
        }
    }
}

design_step! {
    name: "drawn-marks",
    summary: "Takes marks drawn in the artwork: stitch directions, starts and finishes.",
    manual: include_str!("../manual.md"),
    settings: DrawnMarks,
    process: drawn_marks,
}
