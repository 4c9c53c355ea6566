//! The stock step `single-pieces`: makes an object of its own of each separate piece.

mod pieces;

use hoopwright_sdk::copies::Ids;
use hoopwright_sdk::prelude::*;
use hoopwright_sdk::selection;

choices! {
    /// What is parted.
    pub enum Parted {
        /// Regions; lines stay together.
        #[default]
        Regions,
        /// Lines; regions stay together.
        Lines,
        /// Regions and lines.
        Both,
    }
}

settings! {
    /// Makes an object of its own of each separate piece of the selected objects.
    pub struct SinglePieces {
        /// Whether regions are parted, or lines, or both. Default `regions`: the step `line-run` finds
        /// its own way through an object's lines.
        pub parted: Parted = Parted::Regions;
    }
}

/// Parts the objects at the places `selected`.
///
/// # Errors
/// None: what is one piece stays as it is, and so does what has stitches.
pub fn single_pieces(
    design: Design,
    selected: &[usize],
    settings: &SinglePieces,
) -> Result<Design, Failure> {
    let is_selected = selection::flags(design.objects.len(), selected);
    let mut ids = Ids::of(&design);
    let (mut parted, mut made) = (0, 0);
    let mut objects = Vec::with_capacity(design.objects.len());
    for (object, selected) in design.objects.into_iter().zip(is_selected) {
        let pieces = if selected {
            pieces::of(&object.shape, settings.parted)
        } else {
            Vec::new()
        };
        if pieces.len() < 2 {
            objects.push(object);
        } else if !object.stitches.is_empty() {
            messages::report(
                Finding::warning("It has stitches already, so it was not parted.")
                    .about(&object.id)
                    .help("Put this step before those that make stitches."),
            );
            objects.push(object);
        } else {
            parted += 1;
            made += pieces.len();
            objects.extend(pieces::objects(object, pieces, &mut ids));
        }
    }
    messages::report(Finding::note(match parted {
        0 => "Every selected object is one piece.".to_owned(),
        1 => format!("1 object of several pieces became {made} objects."),
        _ => format!("{parted} objects of several pieces became {made} objects."),
    }));
    Ok(Design { objects, ..design })
}

design_step! {
    name: "single-pieces",
    summary: "Makes an object of its own of each separate piece.",
    manual: include_str!("../manual.md"),
    settings: SinglePieces,
    process: single_pieces,
}
