//! The stock step `sew-order`: puts objects into a good sewing order.
//!
//! The way of the data: [`footprint`] tells what each object covers, [`precedence`] which must
//! stay later, [`phases`] what comes first and last by choice; [`blocks`] chooses the threads;
//! [`travel`] and [`improve`] spread the objects over their blocks, and [`arrange`] orders each
//! block, knowing from [`contacts`] what hangs together beneath the objects still to be sewn.
//! [`moves`] takes the place of the search where objects are only moved.

mod account;
mod arrange;
mod beam;
mod block_task;
mod blocks;
mod contacts;
mod cost;
mod ends;
mod footprint;
mod improve;
mod lower_bound;
mod moves;
mod neighbours;
mod outline;
mod phases;
mod place_set;
mod precedence;
mod sequence;
mod travel;

use hoopwright_sdk::prelude::*;

pub use sequence::{Sequence, best};

choices! {
    /// When outlines are sewn.
    pub enum Outlines {
        /// After everything else, except beneath what is drawn over them.
        #[default]
        Last,
        /// Whenever it suits.
        Free,
    }
}

choices! {
    /// When the background is sewn.
    pub enum Background {
        /// Whenever it suits; what is drawn over it still comes later.
        #[default]
        Free,
        /// Before everything else, except above what is drawn beneath it.
        First,
    }
}

choices! {
    /// How one thread's objects follow each other on a cap.
    pub enum CapsOrder {
        /// By the least travel.
        #[default]
        Free,
        /// From the centre seam outward, on either side, and from the brim up.
        CentreOut,
        /// From the brim up.
        BottomUp,
    }
}

choices! {
    /// Whether the selected objects are only moved.
    pub enum MoveTo {
        /// They are not; the best order is sought.
        #[default]
        Free,
        /// To the front: sewn first.
        First,
        /// To the back: sewn last.
        Last,
        /// Right after the object named by `after`.
        After,
    }
}

settings! {
    /// Puts the selected objects into a good sewing order.
    pub struct SewOrder {
        /// When outlines are sewn. Default `last`. Lines are outlines, and so is whatever has the
        /// tag `outline-tag`.
        pub outlines: Outlines = Outlines::Last;
        /// A tag of objects that count as outlines beside all lines. Default none.
        pub outline_tag: String = String::new();
        /// When the background is sewn. Default `free`.
        pub background: Background = Background::Free;
        /// The tag of the background's objects. Where it is empty, as by default, the background
        /// is the largest selected region.
        pub background_tag: String = String::new();
        /// How one thread's objects follow each other on a cap. Default `free`.
        pub caps_order: CapsOrder = CapsOrder::Free;
        /// Objects that overlap by no more than this, in mm², only touch, and may be sewn in
        /// either order. Default 0.2. A fifth of the smaller object always counts as overlap, and
        /// so does a strip 0.15 mm wide or more, as an underlap is, however short.
        pub overlap: f64 = 0.2, in "mm²", from 0.0 to 20.0;
        /// A way between two objects of one thread that is no longer than this needs no trim.
        /// Default 5: set it to what the step `ties-and-trims` has.
        pub trim_over: f64 = 5.0, in "mm", from 1.0 to 100.0;
        /// Moves the selected objects instead of seeking the best order: to the front, to the
        /// back, or after another object, as far as the overlaps of the drawing allow. Default
        /// `free`: nothing is only moved. All settings above but `overlap` are then without effect.
        pub move_to: MoveTo = MoveTo::Free;
        /// The id of the object that the selected ones shall follow, with `move-to` `after`.
        pub after: String = String::new();
        /// Moves past overlapping objects, too. Default false: what lies above stays later.
        pub force: bool = false;
    }
}

/// Orders the objects at the places `selected`.
///
/// # Errors
/// When the object to move after is not there, or is to be moved itself. Any design can be ordered.
pub fn sew_order(
    design: Design,
    selected: &[usize],
    settings: &SewOrder,
) -> Result<Design, Failure> {
    if selected.is_empty() || design.objects.is_empty() {
        messages::report(Finding::note("Nothing to put in order was selected."));
        return Ok(design);
    }
    let order = sequence::best(&design, selected, settings)?.order;
    let mut objects: Vec<Option<Object>> = design.objects.into_iter().map(Some).collect();
    let objects = order
        .into_iter()
        .filter_map(|place| objects.get_mut(place).and_then(Option::take))
        .collect();
    Ok(Design { objects, ..design })
}

design_step! {
    name: "sew-order",
    summary: "Puts objects into a good sewing order: few thread changes, then little travel.",
    manual: include_str!("../manual.md"),
    settings: SewOrder,
    process: sew_order,
}
