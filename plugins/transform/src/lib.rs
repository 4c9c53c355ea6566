//! The stock step `transform`: turns, scales, mirrors and moves objects, or changed copies of them.
//!
//! [`change`] makes one placement of the settings, with [`size`] for a wanted width or height;
//! [`stitch_lengths`] tells what scaling does to stitches that are there already.

mod change;
mod size;
mod stitch_lengths;

pub use hoopwright_sdk::Place;
use hoopwright_sdk::Placement;
use hoopwright_sdk::bounds::{Bounds, MeasuredBy};
use hoopwright_sdk::copies::{self, Copied, CopiesCome, Ids};
use hoopwright_sdk::prelude::*;

choices! {
    /// Which places are swapped.
    pub enum Mirror {
        /// None.
        #[default]
        No,
        /// Left and right change places, across an upright line.
        LeftRight,
        /// Top and bottom change places, across a level line.
        TopBottom,
        /// Places are swapped across a line at the angle `mirror-line`.
        Slanted,
    }
}

choices! {
    /// The centre: what stays in its place while all else is turned, scaled and mirrored.
    pub enum About {
        /// The middle of each object, by itself.
        Each,
        /// The middle of all selected objects together.
        #[default]
        Group,
        /// The middle of the artwork's page.
        Page,
        /// The place given in `point`.
        Point,
    }
}

settings! {
    /// Turns, scales, mirrors or moves the selected objects, in this order: scaled, mirrored,
    /// turned, moved.
    pub struct Transform {
        /// Turns by this many degrees, anticlockwise as seen; negative is clockwise. Default 0.
        pub turn: f64 = 0.0, in "degrees", from -360.0 to 360.0;
        /// Scales from left to right, in percent. Default 100, as it is. Not together with `width`
        /// or `height`.
        pub scale_across: f64 = 100.0, in "percent", from 1.0 to 1000.0;
        /// Scales from top to bottom, in percent. Default 100, as it is. Not together with `width`
        /// or `height`.
        pub scale_down: f64 = 100.0, in "percent", from 1.0 to 1000.0;
        /// Scales to this width, in mm: of each object where `about` is `each`, otherwise of all
        /// together. Given without `height`, the height follows in proportion. It is the width
        /// before turning. Not given unless set.
        pub width: Option<f64> = None, in "mm", from 0.1 to 2000.0;
        /// Scales to this height, in mm, as `width` does to a width. Not given unless set.
        pub height: Option<f64> = None, in "mm", from 0.1 to 2000.0;
        /// Which places are swapped, across a line through the centre. Default `no`.
        pub mirror: Mirror = Mirror::No;
        /// Where `mirror` is `slanted`: the angle of the line mirrored across, in degrees
        /// anticlockwise as seen. Default 45, from the lower left to the upper right.
        pub mirror_line: f64 = 45.0, in "degrees", from -180.0 to 180.0;
        /// The centre, which stays while all else is turned, scaled and mirrored. Default `group`:
        /// the middle of all selected objects together.
        pub about: About = About::Group;
        /// The centre, where `about` is `point`; otherwise unused.
        pub point: Place = Place::default();
        /// Moves to the right, in mm, after all else; negative is to the left. Default 0.
        pub move_right: f64 = 0.0, in "mm", from -2000.0 to 2000.0;
        /// Moves down, in mm, after all else; negative is up. Default 0.
        pub move_down: f64 = 0.0, in "mm", from -2000.0 to 2000.0;
        /// Whether the originals stay as they are, and changed copies are added: the other eye,
        /// mirrored about the page's middle. Default false.
        pub keep_original: bool = false;
        /// A tag that copies get beside those of their originals, so that later steps can pick
        /// them. Default `copy`; empty for none.
        pub copy_tag: String = "copy".to_owned();
        /// Where copies come in the sewing order. Default `after-each`: each right after its
        /// original, so that what lies above what stays so.
        pub copies_come: CopiesCome = CopiesCome::AfterEach;
        /// Where an object's edges are, for its middle and its width and height. Default
        /// `as-sewn`; an object without stitches is measured as drawn.
        pub measured_by: MeasuredBy = MeasuredBy::AsSewn;
    }
}

/// Changes the objects at the places `selected`, or adds changed copies of them.
///
/// # Errors
/// Where a percentage and a size are both set; or where an object would lie more than 10 m away.
pub fn transform(
    mut design: Design,
    selected: &[usize],
    settings: &Transform,
) -> Result<Design, Failure> {
    refuse_contradictions(settings)?;
    let measured: Vec<(usize, Bounds)> = selected
        .iter()
        .filter_map(|&place| {
            let object = design.objects.get(place)?;
            let bounds = Bounds::of(object, settings.measured_by);
            if bounds.is_none() {
                messages::report(
                    Finding::note("It shows nothing and has no stitches, so it was left alone.")
                        .about(&object.id),
                );
            }
            Some((place, bounds?))
        })
        .collect();
    let Some(group) = Bounds::around(measured.iter().map(|(_, bounds)| *bounds)) else {
        messages::report(Finding::note("Nothing to change was selected.").help(
            "Select objects that have a shape or stitches, or take the step out of the pipeline.",
        ));
        return Ok(design);
    };
    let centre = change::centre(settings, &group, &design.page);
    let mut changed: Vec<Copied> = Vec::new();
    if settings.about == About::Each {
        for &(place, bounds) in &measured {
            let object = &design.objects[place];
            let alone = std::slice::from_ref(object);
            if let Some(change) = change::of(settings, bounds.centre(), alone) {
                changed.push(copied(object, place, &change)?);
            }
        }
    } else {
        let objects = measured
            .iter()
            .filter_map(|&(place, _)| design.objects.get(place));
        let objects: Vec<Object> = objects.cloned().collect();
        if let Some(change) = change::of(settings, centre, &objects) {
            for (&(place, _), object) in measured.iter().zip(&objects) {
                changed.push(copied(object, place, &change)?);
            }
        }
    }
    changed.retain(|copy| design.objects.get(copy.original) != Some(&copy.object));
    if changed.is_empty() {
        messages::report(Finding::note("Nothing was changed.").help(
            "Set `turn`, a scale or size, `mirror` or a move, or take the step out of the pipeline.",
        ));
        return Ok(design);
    }
    for copy in &changed {
        stitch_lengths::warn(&design.objects[copy.original], &copy.object);
    }
    if settings.keep_original {
        let mut ids = Ids::of(&design);
        for copy in &mut changed {
            copy.object
                .become_copy(&mut ids, "copy", &settings.copy_tag);
        }
        copies::insert(&mut design, changed, settings.copies_come);
    } else {
        for copy in changed {
            design.objects[copy.original] = copy.object;
        }
    }
    Ok(design)
}

fn copied(object: &Object, original: usize, change: &Placement) -> Result<Copied, Failure> {
    let object = object.clone().placed(change)?;
    Ok(Copied { original, object })
}

fn refuse_contradictions(settings: &Transform) -> Result<(), Failure> {
    let by_percent = settings.scale_across != 100.0 || settings.scale_down != 100.0;
    let to_size = settings.width.is_some() || settings.height.is_some();
    if by_percent && to_size {
        return Err(Failure::new(
            "A scale in percent and a size in mm are both set, but only one of them can hold.",
        )
        .help("Leave out `scale-across` and `scale-down`, or `width` and `height`."));
    }
    Ok(())
}

design_step! {
    name: "transform",
    summary: "Turns, scales, mirrors or moves objects, or adds changed copies of them.",
    manual: include_str!("../manual.md"),
    settings: Transform,
    process: transform,
}
