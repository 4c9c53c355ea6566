//! Cookbook 2, `basting-box`: a long-stitch run around the design, sewn first.

use hoopwright_sdk::bounds::{Bounds, MeasuredBy};
use hoopwright_sdk::copies::Ids;
use hoopwright_sdk::geometry::{curves, kurbo, measure, resample};
use hoopwright_sdk::prelude::*;

settings! {
    /// Sews a box of long stitches around the design, before anything else.
    pub struct BastingBox {
        /// How far outside of the design's outermost thread the box lies, in mm. Default 5: clear of
        /// the design, and still inside a hoop with the usual margin.
        pub distance: f64 = 5.0, in "mm", from 0.0 to 50.0;
        /// The longest stitch of the box, in mm. Default 7: long, so that it is quickly sewn and
        /// quickly pulled out. A machine's longest is 12.1.
        pub stitch_length: f64 = 7.0, in "mm", from 2.0 to 12.0;
        /// The code or the name of the box's thread. Default none: the thread of the object sewn
        /// first, so that no change of thread is needed.
        pub thread: String = String::new();
        /// A tag for the box, so that later steps can select it. Default "basting".
        pub tag: String = "basting".to_owned();
    }
}

/// Adds the box around the objects at the places `selected`, as the first object of the design.
///
/// # Errors
/// Where the design has no thread of that name.
pub fn basting_box(
    mut design: Design,
    selected: &[usize],
    settings: &BastingBox,
) -> Result<Design, Failure> {
    let objects = selected
        .iter()
        .filter_map(|&place| design.objects.get(place));
    let bounds = Bounds::around(objects.filter_map(|o| Bounds::of(o, MeasuredBy::AsSewn)));
    let Some(bounds) = bounds else {
        messages::report(Finding::note("There is nothing to sew a box around.").help(
            "Select objects that have a shape or stitches, or take the step out of the pipeline.",
        ));
        return Ok(design);
    };
    let thread = thread(&design, &settings.thread)?;
    let line = outline(&bounds, settings.distance, first_needle(&design));

    let id = Ids::of(&design).free("basting-box");
    let mut object = Object::of_line(&id, &line, 0.0);
    object.name = "Basting box".to_owned();
    object.tags = vec![settings.tag.clone()];
    object.thread = thread;
    let mut stitches = StitchList::new();
    for place in resample::along(&line, resample::Spacing::new(settings.stitch_length)) {
        // It holds the cloth while the rest is sewn, and is pulled out afterwards.
        stitches.needle(StitchRole::Underlay, place);
    }
    object.stitches = stitches.into_blocks();
    design.objects.insert(0, object);

    let size = |extent: f64| extent + 2.0 * settings.distance;
    messages::report(
        Finding::note(format!(
            "The box is {:.1} mm wide and {:.1} mm high.",
            size(bounds.across.length()),
            size(bounds.down.length())
        ))
        .about(&id)
        .help("Take a hoop that holds it with its usual margin, and trace it before you sew."),
    );
    Ok(design)
}

/// The thread that the settings name, or that of the first object that is sewn.
fn thread(design: &Design, wanted: &str) -> Result<u32, Failure> {
    if wanted.trim().is_empty() {
        let sewn = design.objects.iter().find(|o| !o.stitches.is_empty());
        return Ok(sewn.or(design.objects.first()).map_or(0, |o| o.thread));
    }
    design.thread_called(wanted).ok_or_else(|| {
        let names: Vec<&str> = design.threads.iter().map(|t| t.name.as_str()).collect();
        Failure::new(format!("The design has no thread \"{wanted}\"."))
            .help(format!("It has: {}.", names.join(", ")))
    })
}

/// Where the needle goes down first.
fn first_needle(design: &Design) -> Option<Coord<f64>> {
    let stitches = design.objects.iter().flat_map(|o| stitches_of(&o.stitches));
    let mut needles = stitches.filter(|stitch| stitch.kind == StitchKind::Needle);
    needles.next().map(|stitch| stitch.at)
}

/// The box as a closed line that begins and ends in the corner nearest to `next`, so that the way
/// from the box into the design is short.
fn outline(bounds: &Bounds, distance: f64, next: Option<Coord<f64>>) -> geo::LineString<f64> {
    let (across, down) = (
        bounds.across.widened(distance),
        bounds.down.widened(distance),
    );
    let rectangle = kurbo::Rect::new(across.least, down.least, across.greatest, down.greatest);
    let pieces = curves::flatten(&rectangle, 0.01);
    let mut corners = pieces
        .into_iter()
        .next()
        .map(|ring| ring.corners)
        .unwrap_or_default();
    if let Some(next) = next {
        let away = |place: usize| measure::distance(corners[place], next);
        let nearest = (0..corners.len()).min_by(|&a, &b| away(a).total_cmp(&away(b)));
        corners.rotate_left(nearest.unwrap_or(0));
    }
    let mut line = geo::LineString::new(corners);
    line.close();
    line
}

design_step! {
    name: "basting-box",
    summary: "Sews a box of long stitches around the design, to hold the cloth to its stabilizer.",
    manual: include_str!("../manual.md"),
    settings: BastingBox,
    process: basting_box,
}

#[cfg(test)]
mod tests;
