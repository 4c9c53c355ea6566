//! Cookbook 3, `monogram-frame`: a frame around letters, round, rounded or pointed.
//!
//! [`form`] finds the line of the frame; this file makes an object of it.

mod form;

use form::Form;
use hoopwright_sdk::bounds::{Bounds, MeasuredBy};
use hoopwright_sdk::copies::Ids;
use hoopwright_sdk::geometry::{curves, offset, resample};
use hoopwright_sdk::prelude::*;

choices! {
    /// What the frame is made of.
    pub enum MadeOf {
        /// A line drawn `width` wide, for `satin-column` or `line-run` to sew.
        #[default]
        Line,
        /// An area `width` wide, for `region-fill` or `satin-column` to sew.
        Area,
        /// A run along the middle, sewn by this step.
        Run,
    }
}

settings! {
    /// Draws a frame around the selected objects.
    pub struct MonogramFrame {
        /// The frame's form. Default `round`.
        pub form: Form = Form::Round;
        /// The least distance between the letters' thread and the frame's inner edge, in mm.
        /// Default 4.
        pub distance: f64 = 4.0, in "mm", from 0.0 to 100.0;
        /// How wide the frame is, in mm. Default 2.5, a satin column. From 7 mm on satin is split.
        pub width: f64 = 2.5, in "mm", from 0.4 to 12.0;
        /// The radius of the middle of a `rounded` frame's corners, in mm; other forms have none.
        /// Default 8. Where the sides are shorter, they are round altogether.
        pub corner_radius: f64 = 8.0, in "mm", from 0.0 to 200.0;
        /// What the frame is made of. Default `line`.
        pub made_of: MadeOf = MadeOf::Line;
        /// The longest stitch of a frame that is a `run`, in mm. Default 2.5.
        pub stitch_length: f64 = 2.5, in "mm", from 0.5 to 12.0;
        /// The code or the name of the frame's thread. Default none: the thread of the last of the
        /// selected objects, so that the frame needs no change of thread.
        pub thread: String = String::new();
        /// A tag for the frame, so that later steps can select it. Default "frame".
        pub tag: String = "frame".to_owned();
    }
}

/// How far the frame's line may lie from the true curve, in mm: finer than a machine's step of 0.1 mm.
const FLATNESS: f64 = 0.01;

/// Adds a frame around the objects at the places `selected`, right after the last of them.
///
/// # Errors
/// Where the design has no thread of that name.
pub fn monogram_frame(
    mut design: Design,
    selected: &[usize],
    settings: &MonogramFrame,
) -> Result<Design, Failure> {
    let chosen = || {
        selected
            .iter()
            .filter_map(|&place| design.objects.get(place))
    };
    let bounds = Bounds::around(chosen().filter_map(|o| Bounds::of(o, MeasuredBy::AsSewn)));
    let (Some(bounds), Some(last)) = (bounds, selected.last()) else {
        messages::report(
            Finding::note("There is nothing to draw a frame around.")
                .help("Select objects that have a shape or stitches."),
        );
        return Ok(design);
    };
    let thread = if settings.thread.trim().is_empty() {
        chosen().next_back().map_or(0, |object| object.thread)
    } else {
        design.thread_called(&settings.thread).ok_or_else(|| {
            let names: Vec<&str> = design.threads.iter().map(|t| t.name.as_str()).collect();
            Failure::new(format!("The design has no thread \"{}\".", settings.thread))
                .help(format!("It has: {}.", names.join(", ")))
        })?
    };
    let clear = settings.distance + settings.width / 2.0;
    let middle = settings.form.around(&bounds, clear, settings.corner_radius);
    let Some(line) = curves::flatten(&middle, FLATNESS).into_iter().next() else {
        return Err(Failure::new("The frame would be too large to draw.")
            .help("See how large the selected objects are."));
    };
    let id = Ids::of(&design).free("frame");
    let mut frame = object(&id, &line.to_line_string(), settings);
    frame.name = "Frame".to_owned();
    frame.tags = vec![settings.tag.clone()];
    frame.thread = thread;
    warn_of_what_lies_in_the_way(&design, selected, &frame);
    design.objects.insert(last + 1, frame);
    Ok(design)
}

/// The frame as the settings want it, along the closed `line`.
fn object(id: &str, line: &geo::LineString<f64>, settings: &MonogramFrame) -> Object {
    match settings.made_of {
        MadeOf::Line => Object::of_line(id, line, settings.width),
        MadeOf::Area => Object::of_region(id, &offset::stroke(line, settings.width)),
        MadeOf::Run => {
            let mut object = Object::of_line(id, line, 0.0);
            let mut stitches = StitchList::new();
            for place in resample::along(line, resample::Spacing::new(settings.stitch_length)) {
                stitches.needle(StitchRole::Cover, place);
            }
            object.stitches = stitches.into_blocks();
            object
        }
    }
}

/// What was not selected may lie where the frame comes.
fn warn_of_what_lies_in_the_way(design: &Design, selected: &[usize], frame: &Object) {
    let area = frame.shape.area(hoopwright_sdk::THREAD_WIDTH);
    for (place, object) in design.objects.iter().enumerate() {
        if selected.contains(&place) {
            continue;
        }
        let other = object.shape.area(hoopwright_sdk::THREAD_WIDTH);
        let both = geometry::area::intersection(&area, &other);
        if let Some(at) = both.0.first().and_then(|part| part.exterior().0.first()) {
            messages::report(
                Finding::warning("The frame lies on this object, which was not selected.")
                    .about(&object.id)
                    .at(*at)
                    .help("Select it too, so that the frame goes around it, or change `distance`."),
            );
        }
    }
}

design_step! {
    name: "monogram-frame",
    summary: "Draws a round, rounded or pointed frame around letters.",
    manual: include_str!("../manual.md"),
    settings: MonogramFrame,
    process: monogram_frame,
}

#[cfg(test)]
mod tests;
