//! The stock step `align`: lines objects up, spreads them evenly, and moves them.

//!
//! [`layout`] says how far each object moves, with [`spread`] for even distances; [`hoop`] says
//! whether the hoop holds what comes of it.

mod hoop;
mod layout;
mod spread;

use hoopwright_sdk::Placement;
use hoopwright_sdk::bounds::{Bounds, MeasuredBy};
use hoopwright_sdk::prelude::*;

choices! {
    /// Where objects line up from left to right.
    pub enum Across {
        /// They stay where they are.
        #[default]
        Keep,
        /// Left edges on the frame's left edge.
        Left,
        /// Centres on the frame's centre.
        Centre,
        /// Right edges on the frame's right edge.
        Right,
    }
}

choices! {
    /// Where objects line up from top to bottom.
    pub enum Down {
        /// They stay where they are.
        #[default]
        Keep,
        /// Top edges on the frame's top edge.
        Top,
        /// Middles on the frame's middle.
        Middle,
        /// Bottom edges on the frame's bottom edge.
        Bottom,
    }
}

choices! {
    /// What objects line up with: the frame.
    pub enum RelativeTo {
        /// The bounds of all selected objects together.
        #[default]
        Selection,
        /// The selected object with the largest bounds. It stays where it is.
        Largest,
        /// The artwork's page.
        Page,
        /// The inside of the hoop given in `hoop`, less its margin. The hoop lies with its middle
        /// on the page's middle.
        Hoop,
        /// The rectangle given in `rectangle`.
        Rectangle,
    }
}

choices! {
    /// What is lined up as one piece.
    pub enum Unit {
        /// Each selected object by itself.
        #[default]
        Object,
        /// All selected objects as one group: they keep their places to each other.
        Group,
    }
}

choices! {
    /// How objects are spread.
    pub enum Spread {
        /// They are not.
        #[default]
        Keep,
        /// The gaps between neighbours become equal; where there is no room for gaps, the
        /// distances between their centres do.
        EqualGaps,
        /// The distances between the centres of neighbours become equal.
        EqualCentres,
    }
}

settings! {
    /// A rectangle on the cloth.
    pub struct Frame {
        /// Its left edge, in mm from the artwork's origin.
        pub left: f64 = 0.0, in "mm", from -2000.0 to 2000.0;
        /// Its top edge, in mm below the artwork's origin.
        pub top: f64 = 0.0, in "mm", from -2000.0 to 2000.0;
        /// Its width in mm. Default 100.
        pub width: f64 = 100.0, in "mm", from 0.0 to 4000.0;
        /// Its height in mm. Default 100.
        pub height: f64 = 100.0, in "mm", from 0.0 to 4000.0;
    }
}

settings! {
    /// A hoop, with its middle on the page's middle.
    pub struct Hoop {
        /// The width that can be sewn inside it, in mm. Default 100.
        pub width: f64 = 100.0, in "mm", from 10.0 to 2000.0;
        /// The height that can be sewn inside it, in mm. Default 100.
        pub height: f64 = 100.0, in "mm", from 10.0 to 2000.0;
        /// How far everything stays from its edge, in mm, so that the presser foot does not strike
        /// the hoop. Default 5.
        pub margin: f64 = 5.0, in "mm", from 0.0 to 100.0;
    }
}

settings! {
    /// Lines the selected objects up, spreads them evenly, or moves them.
    pub struct Align {
        /// Where objects line up from left to right. Default `keep`.
        pub across: Across = Across::Keep;
        /// Where objects line up from top to bottom. Default `keep`.
        pub down: Down = Down::Keep;
        /// What they line up with. Default `selection`: their own common bounds.
        pub relative_to: RelativeTo = RelativeTo::Selection;
        /// The rectangle to line up with, where `relative-to` is `rectangle`; otherwise unused.
        pub rectangle: Frame = Frame::default();
        /// The hoop to line up with, where `relative-to` is `hoop`; otherwise unused. The step warns
        /// of what does not fit inside it less its margin.
        pub hoop: Hoop = Hoop::default();
        /// Where an object's edges are. Default `as-sewn`: where its thread lies, pull compensation
        /// and half a thread's width included; an object without stitches is measured as drawn.
        pub measured_by: MeasuredBy = MeasuredBy::AsSewn;
        /// Whether each object is lined up by itself or all as one group. Default `object`.
        pub unit: Unit = Unit::Object;
        /// Spreads the objects from left to right. With `relative-to` page, hoop or rectangle the
        /// outer objects go to its left and right edges; otherwise they stay, and those between are
        /// spread. Default `keep`. Together with `across` only where `unit` is `group` and `relative-to` is
        /// not `largest`.
        pub spread_across: Spread = Spread::Keep;
        /// Spreads the objects from top to bottom, as `spread-across` does from left to right.
        /// Default `keep`. Together with `down` only where `unit` is `group` and `relative-to` is
        /// not `largest`.
        pub spread_down: Spread = Spread::Keep;
        /// Moves all of them to the right, in mm, after lining up; negative is to the left.
        /// Default 0.
        pub move_right: f64 = 0.0, in "mm", from -2000.0 to 2000.0;
        /// Moves all of them down, in mm, after lining up; negative is up. Default 0.
        pub move_down: f64 = 0.0, in "mm", from -2000.0 to 2000.0;
    }
}

/// Lines up the objects at the places `selected`.
///
/// # Errors
/// Where settings contradict each other: spreading and lining up the same objects the same way, or
/// a hoop without an inside; or where an object would lie more than 10 m away.
pub fn align(mut design: Design, selected: &[usize], settings: &Align) -> Result<Design, Failure> {
    refuse_contradictions(settings)?;
    let mut pieces = Vec::new();
    for &place in selected {
        let Some(object) = design.objects.get(place) else {
            continue;
        };
        match Bounds::of(object, settings.measured_by) {
            Some(bounds) => pieces.push(layout::Piece { place, bounds }),
            None => messages::report(
                Finding::note("It shows nothing and has no stitches, so it was not lined up.")
                    .about(&object.id),
            ),
        }
    }
    if pieces.is_empty() {
        messages::report(Finding::note("Nothing to line up was selected.").help(
            "Select objects that have a shape or stitches, or take the step out of the pipeline.",
        ));
        return Ok(design);
    }
    if settings.measured_by == MeasuredBy::AsSewn && measures_edges(settings) {
        warn_of_mixed_measures(&design, &pieces);
    }
    warn_of_lining_up_with_itself(&design, &pieces, settings);
    for (place, shift) in layout::shifts(&pieces, &design.page, settings) {
        if let Some(object) = design.objects.get_mut(place) {
            object.place(&Placement::moving(shift))?;
        }
    }
    if settings.relative_to == RelativeTo::Hoop {
        hoop::warn_of_what_overhangs(&design, &pieces, settings);
    }
    Ok(design)
}

/// Whether anything is lined up or spread, rather than only moved.
fn measures_edges(settings: &Align) -> bool {
    let spread = [settings.spread_across, settings.spread_down];
    settings.across != Across::Keep
        || settings.down != Down::Keep
        || spread.iter().any(|&spread| spread != Spread::Keep)
}

/// What is lined up with its own bounds lies there already.
fn warn_of_lining_up_with_itself(design: &Design, pieces: &[layout::Piece], settings: &Align) {
    let single = pieces.len() == 1;
    let with_itself = match settings.relative_to {
        RelativeTo::Selection => single || settings.unit == Unit::Group,
        RelativeTo::Largest => single,
        RelativeTo::Page | RelativeTo::Hoop | RelativeTo::Rectangle => false,
    };
    // Spreading may move the bounds of several; then there is something to line up.
    let spread = |spread: Spread| spread != Spread::Keep && !single;
    let mut idle = Vec::new();
    if settings.across != Across::Keep && !spread(settings.spread_across) {
        idle.push("`across`");
    }
    if settings.down != Down::Keep && !spread(settings.spread_down) {
        idle.push("`down`");
    }
    if !with_itself || idle.is_empty() {
        return;
    }
    let (idle, verb) = (
        idle.join(" and "),
        if idle.len() == 1 { "does" } else { "do" },
    );
    let finding = if single {
        Finding::warning(format!(
            "{idle} {verb} nothing: only this object is selected, and `relative-to` lines it up \
             with itself."
        ))
        .help("Set `relative-to` to `page`, `hoop` or `rectangle`, or select more objects.")
    } else {
        Finding::warning(format!(
            "{idle} {verb} nothing: with `relative-to` at `selection` the group is lined up with \
             itself."
        ))
        .help("Set `relative-to` to `page`, `hoop` or `rectangle`, or `unit` to `object`.")
    };
    let alone = pieces.first().filter(|_| single);
    let alone = alone.and_then(|piece| design.objects.get(piece.place));
    messages::report(match alone {
        Some(object) => finding.about(&object.id),
        None => finding,
    });
}

/// Edges of thread and edges of drawn shapes are not the same thing.
fn warn_of_mixed_measures(design: &Design, pieces: &[layout::Piece]) {
    let sewn = |piece: &&layout::Piece| {
        let object = design.objects.get(piece.place);
        object.and_then(Bounds::as_sewn).is_some()
    };
    let count = pieces.iter().filter(sewn).count();
    if count > 0 && count < pieces.len() {
        let unsewn = pieces.iter().find(|piece| !sewn(piece));
        let unsewn = unsewn.and_then(|piece| design.objects.get(piece.place));
        messages::report(
            Finding::warning(format!(
                "{count} of {} objects have stitches and were measured by their thread; the others, \
                 such as \"{}\", were measured as drawn. Their edges may differ by half a thread and \
                 the pull compensation.",
                pieces.len(),
                unsewn.map_or("", |object| object.id.as_str())
            ))
            .help(
                "Run this step after all that make stitches, or set `measured-by` to `as-drawn`.",
            ),
        );
    }
}

fn refuse_contradictions(settings: &Align) -> Result<(), Failure> {
    let hoop = &settings.hoop;
    let narrow = hoop.width.min(hoop.height);
    if settings.relative_to == RelativeTo::Hoop && narrow <= 2.0 * hoop.margin {
        return Err(Failure::new(format!(
            "The hoop's margin of {} mm leaves nothing of its {narrow} mm.",
            hoop.margin
        ))
        .help("Make `margin` less than half of the hoop's `width` and `height`."));
    }
    // A group can be spread first and then placed; but the largest object would stay behind.
    let cannot_follow =
        settings.unit == Unit::Object || settings.relative_to == RelativeTo::Largest;
    for (spread, line_up, spread_name, line_up_name) in [
        (
            settings.spread_across != Spread::Keep,
            settings.across != Across::Keep,
            "spread-across",
            "across",
        ),
        (
            settings.spread_down != Spread::Keep,
            settings.down != Down::Keep,
            "spread-down",
            "down",
        ),
    ] {
        if cannot_follow && spread && line_up {
            return Err(Failure::new(format!(
                "`{spread_name}` and `{line_up_name}` are both set, but objects cannot be spread \
                 and stand on one line at once."
            ))
            .help(format!(
                "Leave one of the two at `keep`, or set `unit` to `group` and `relative-to` to \
                 something other than `largest`: then the objects are spread first and \
                 `{line_up_name}` places the whole group."
            )));
        }
    }
    Ok(())
}

design_step! {
    name: "align",
    summary: "Lines objects up, spreads them evenly, or moves them.",
    manual: include_str!("../manual.md"),
    settings: Align,
    process: align,
}
