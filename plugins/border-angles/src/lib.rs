//! The stock step `border-angles`: turns the rows of fills that touch in one thread, so that the light shows the
//! border between them.
//!
//! The way of the data: [`fills`] tells which objects take part, [`borders`] finds where two of them touch and
//! nothing else shows it, [`angles`] chooses angles by what touches what.

mod angles;
mod borders;
mod fills;

use borders::Border;
use fills::Fill;
use hoopwright_sdk::prelude::*;

settings! {
    /// Turns the rows of fills that touch in one thread, so that the light shows the border between them.
    pub struct BorderAngles {
        /// The angle of rows that nothing asks to be turned, anticlockwise as seen. Default 45. Give it the
        /// same value as in the step that fills.
        #[schemars(extend("agrees-with" = "region-fill"))]
        pub angle: f64 = 45.0, in "degrees", from -360.0 to 360.0;
        /// How far the rows of two fills that touch are turned from each other at least. Default 60, at
        /// which three that touch each other can all differ; common practice is 60 to 90. From over 60,
        /// only two can.
        pub least_turn: f64 = 60.0, in "degrees", from 30.0 to 90.0;
        /// Fills that touch along less than this are left as they are: few rows end there. Default 6.
        pub least_border: f64 = 6.0, in "mm", from 0.5 to 200.0;
        /// Fills no farther apart than this touch. Default 0.3: the thread closes narrower gaps.
        pub gap: f64 = 0.3, in "mm", from 0.05 to 1.0;
        /// Whether fills of one colour in the artwork are turned from each other as well. Default false: they
        /// look like one surface there, and all of them get one angle, whether they touch or not.
        pub one_colour: bool = false;
    }
}

/// Turns the rows of the regions at the places `selected`.
///
/// # Errors
/// When a selected region is larger than any hoop.
pub fn border_angles(
    mut design: Design,
    selected: &[usize],
    settings: &BorderAngles,
) -> Result<Design, Failure> {
    let fills = fills::of(&design.objects, selected, settings)?;
    let borders = borders::between(&design.objects, &fills, settings);
    let angles = angles::chosen(&fills, &borders, settings);
    for (object, &angle) in design.objects.iter_mut().zip(&angles) {
        object.sewing.angle = angle.or(object.sewing.angle);
    }
    report(&design.objects, &fills, &borders, settings);
    Ok(design)
}

/// Tells what was turned, and where a border is left that cannot be seen.
fn report(objects: &[Object], fills: &[Option<Fill>], borders: &[Border], settings: &BorderAngles) {
    let (mut shown, mut length) = (0, 0.0);
    for border in borders {
        let [below, above] = border.fills.map(|place| &objects[place]);
        let apart = match [below, above].map(|object| object.sewing.angle) {
            [Some(one), Some(other)] => angles::between(one, other),
            _ => continue,
        };
        if angles::is_enough(apart, settings.least_turn) {
            shown += 1;
            length += border.length;
            continue;
        }
        messages::report(
            Finding::note(format!(
                "It touches \"{}\" along {:.0} mm in the same thread, and their rows lie {apart:.0} degrees \
                 apart: the border hardly shows.",
                below.id, border.length
            ))
            .about(&above.id)
            .at(border.place)
            .help("Give one of them an angle of its own, or another thread."),
        );
    }
    let is_turned = |place: &usize| {
        let is_free = matches!(fills[*place], Some(Fill { own: None, .. }));
        let angle = objects[*place].sewing.angle;
        is_free && angle.is_some_and(|angle| angles::between(angle, settings.angle) > angles::SAME)
    };
    let turned = (0..objects.len()).filter(is_turned).count();
    messages::report(Finding::note(match shown {
        0 => "No rows were turned: no border of two fills in one thread asks for it.".to_owned(),
        _ => format!(
            "Turned rows: {turned}. Borders that they show: {shown}, {length:.0} mm in all."
        ),
    }));
}

design_step! {
    name: "border-angles",
    summary: "Turns the rows of fills that touch in one thread, so that the light shows the border between them.",
    manual: include_str!("../manual.md"),
    settings: BorderAngles,
    process: border_angles,
}
