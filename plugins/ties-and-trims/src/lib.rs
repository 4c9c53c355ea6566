//! The stock step `ties-and-trims`: locks the thread at both ends of every run, and cuts it where
//! travel would lie open on the cloth.
//!
//! The way of the data: [`earlier`] takes away what the step put before; [`thread_path`] finds
//! the ways that are not sewn; [`passage`] decides what becomes of each, with [`cover`] telling
//! what is hidden; [`tie`] lays the small stitches; [`lay`] puts it all into the objects.

mod cover;
mod earlier;
mod lay;
mod passage;
mod tally;
mod thread_path;
mod tie;
mod travel;

use hoopwright_sdk::prelude::*;

choices! {
    /// What becomes of travel that objects sewn later hide.
    pub enum HiddenTravel {
        /// It is sewn with travel stitches at the beginning of the next object, so that the
        /// thread runs on without ties. Inside an object it is trimmed.
        #[default]
        Stitches,
        /// It stays a jump, tied at both ends and not cut.
        Jump,
    }
}

settings! {
    /// Ties the thread at both ends of every run, and trims travel that would show.
    pub struct TiesAndTrims {
        /// How many small stitches one tie has, from 3 to 5. Default 4. Fewer where a run of
        /// thread is too short for them.
        pub tie_stitches: u32 = 4, from 3 to 5;
        /// About how long the stitches of a tie are, in mm. Default 0.7; common are 0.5 to 1.0.
        /// They lie one over the other at different lengths, from 0.3 to 1.2 mm, so that the
        /// needle does not strike one place again and again.
        pub tie_length: f64 = 0.7, in "mm", from 0.5 to 1.0;
        /// Travel longer than this, in mm, is trimmed, and so is a jump inside an object.
        /// Default 5; common are 5 to 8, or 2 to 3 where the travel would show.
        pub trim_over: f64 = 5.0, in "mm", from 1.0 to 100.0;
        /// The longest travel, in mm along its way with all bends, that is not trimmed because objects
        /// sewn later hide it.
        /// Default 30; 0 trims hidden travel too.
        pub hidden_travel: f64 = 30.0, in "mm", from 0.0 to 200.0;
        /// What becomes of hidden travel. Default `stitches`.
        pub hidden_travel_as: HiddenTravel = HiddenTravel::Stitches;
        /// The longest stitch of hidden travel that is sewn, in mm. Default 2.5.
        pub travel_stitch_length: f64 = 2.5, in "mm", from 1.0 to 6.0;
    }
}

/// Ties and trims the objects at the places `selected`.
///
/// # Errors
/// None: what cannot be tied or cut is reported as a finding.
pub fn ties_and_trims(
    mut design: Design,
    selected: &[usize],
    settings: &TiesAndTrims,
) -> Result<Design, Failure> {
    let ways = cover::ways_beneath(&design.objects);
    let sewn = earlier::removed(&design.objects, selected);
    let gaps = thread_path::gaps(&sewn);
    let passages: Vec<_> = gaps
        .iter()
        .map(|gap| passage::decide(gap, &sewn, &ways, settings))
        .collect();
    let (blocks, tally) = lay::out(&sewn, &gaps, &passages, settings);
    for (object, blocks) in design.objects.iter_mut().zip(blocks) {
        if let Some(blocks) = blocks {
            object.stitches = blocks;
        }
    }
    tally.report(selected.len());
    Ok(design)
}

design_step! {
    name: "ties-and-trims",
    summary: "Ties the thread at both ends of every run, and trims travel that would show.",
    manual: include_str!("../manual.md"),
    settings: TiesAndTrims,
    process: ties_and_trims,
}
