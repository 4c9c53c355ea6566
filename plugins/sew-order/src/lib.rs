//! The stock step `sew-order`: puts objects into a good sewing order.
//!
//! The way of the data: [`footprint`] tells what each object covers, [`precedence`] which must
//! stay later, [`phases`] what comes first and last by choice; [`gaps`] tells how far apart objects
//! lie, [`covers`] what hides travel, and [`cost`] what an order costs. [`blocks`] chooses the
//! threads, [`travel`] a first order within them, and [`polish`] makes it better. [`caps`] orders them
//! for a cap instead, and [`moved`] moves objects by hand.

mod a_star;
mod beam;
mod beginnings;
mod blocks;
mod caps;
mod cost;
mod covers;
mod ends;
mod exact;
mod footprint;
mod gaps;
mod improve;
mod lower_bound;
mod moved;
mod neighbours;
mod outline;
mod phases;
mod place_set;
mod polish;
mod precedence;
mod sequence;
mod shorten;
mod travel;

pub use cost::Cost;
use hoopwright_sdk::prelude::*;
pub use sequence::{Plan, plan};

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
        /// From the centre seam, the middle of the page, outward: what crosses the seam first, then
        /// all to its right, and from the seam again all to its left.
        CentreOut,
        /// From the brim up.
        BottomUp,
    }
}

choices! {
    /// Where the selected objects go.
    pub enum MoveSelected {
        /// Wherever the best order has them.
        #[default]
        ByCost,
        /// To the beginning of the whole design, as far as overlap allows. All else keeps its order.
        First,
        /// To the end of the whole design, as far as overlap allows. All else keeps its order.
        Last,
    }
}

settings! {
    /// Puts the selected objects into a good sewing order.
    pub struct SewOrder {
        /// Where the selected objects go. Default `by-cost`: the step looks for the best order. With
        /// `first` or `last` they are moved by hand, to the beginning or the end of the whole
        /// design, and nothing else changes; a warning names what overlap holds back. The settings
        /// below, but for `overlap`, then have no meaning.
        pub move_selected: MoveSelected = MoveSelected::ByCost;
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
        /// either order. Default 0.1, so that the narrow strip that `cut-layers` leaves beneath an
        /// upper object still counts. Nor does an overlap of up to 1 mm² bind that lies hidden beneath
        /// what is sewn after both. Edges that were drawn twice, no more than 0.05 mm apart,
        /// only touch; a fifth of the smaller object always counts as overlap.
        pub overlap: f64 = 0.1, in "mm²", from 0.0 to 20.0;
        /// Travel that shows and is longer than this, in mm, counts as a trim, which costs about 7
        /// seconds at the machine. Default 5. Give it the same value as in `ties-and-trims`.
        #[schemars(extend("agrees-with" = "ties-and-trims"))]
        pub trim_over: f64 = 5.0, in "mm", from 1.0 to 100.0;
        /// The longest travel, in mm, that counts as hidden by what is sewn later; longer travel is
        /// trimmed all the same. Default 30. Give it the same value as in `ties-and-trims`.
        #[schemars(extend("agrees-with" = "ties-and-trims"))]
        pub hidden_travel: f64 = 30.0, in "mm", from 0.0 to 200.0;
        /// Lines at least this wide are sewn as satin, and hide the thread's way beneath them; finer
        /// ones hide nothing. Default 1: set it to the width from which the pipeline sews lines as
        /// satin, but not below 0.8, where satin no longer hides.
        pub line_hides_from: f64 = 1.0, in "mm", from 0.8 to 50.0;
    }
}

/// Orders the objects at the places `selected`.
///
/// # Errors
/// None: any design can be ordered.
pub fn sew_order(
    design: Design,
    selected: &[usize],
    settings: &SewOrder,
) -> Result<Design, Failure> {
    if selected.is_empty() || design.objects.is_empty() {
        messages::report(Finding::note("Nothing to put in order was selected."));
        return Ok(design);
    }
    let plan = plan(&design, selected, settings);
    report(&plan, settings.move_selected);
    let mut objects: Vec<Option<Object>> = design.objects.into_iter().map(Some).collect();
    let objects = plan
        .order
        .into_iter()
        .filter_map(|place| objects.get_mut(place).and_then(Option::take))
        .collect();
    Ok(Design { objects, ..design })
}

/// Tells what the order saves.
fn report(plan: &Plan, moved: MoveSelected) {
    let (before, after, at_least) = (plan.incoming, plan.reached, plan.at_least);
    let proof = |reached: usize, least: usize, among: &str| {
        if moved != MoveSelected::ByCost {
            "moved by hand".to_owned()
        } else if reached <= least {
            format!("the fewest possible{among}")
        } else {
            format!("at least {least} are needed")
        }
    };
    messages::report(Finding::note(format!(
        "Thread changes {} before, {} after ({}); trims within a thread, as far as shapes tell, {} \
         before, {} after ({}); travel between objects {:.1} mm before, {:.1} mm after.",
        before.changes,
        after.changes,
        proof(after.changes, at_least.changes, ""),
        before.trims,
        after.trims,
        proof(after.trims, at_least.trims, " in such blocks"),
        before.travel,
        after.travel
    )));
}

design_step! {
    name: "sew-order",
    summary: "Puts objects into a good sewing order: few thread changes, then few trims and little travel.",
    manual: include_str!("../manual.md"),
    settings: SewOrder,
    process: sew_order,
}
