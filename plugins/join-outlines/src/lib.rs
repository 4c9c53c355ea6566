//! Joins outlines that touch, so that each connected outline is sewn in one trail.
//!
//! The way through the crate: [`outlines`] finds the [`line`](mod@line)s that may be joined; [`contact`]
//! finds where they cross, [`ends`] where they end on each other, and [`network`] cuts them there
//! into a planar graph, held together by [`joints`]; [`inspection`] finds the shortest walk along
//! a graph's edges, [`trail`] makes one line of it, and [`joined`] puts it into the design.

mod contact;
mod ends;
pub mod inspection;
mod joined;
mod joints;
mod line;
mod network;
mod outlines;
mod trail;

use hoopwright_sdk::prelude::*;
use inspection::Walk;

choices! {
    /// How the weight of joined lines is kept even.
    pub enum Weight {
        /// As little thread as possible: only the stretches that lead on to the next line are
        /// sewn a second time.
        #[default]
        LeastThread,
        /// Each line is passed exactly twice, so that all look the same; the trail ends where it
        /// began. Sew it as single run.
        EvenTwice,
    }
}

settings! {
    /// Joins selected lines of one thread that touch each other into one object with one trail,
    /// which is sewn without a trim.
    pub struct JoinOutlines {
        /// How far apart ends may lie, from each other or from a line, and still meet. They are
        /// drawn together there; lines that run side by side stay apart.
        pub reach: f64 = 0.3, in "mm", from 0.01 to 2.0;
        /// How much the drawn widths of lines may differ that become one object.
        pub width_tolerance: f64 = 0.1, in "mm", from 0.0 to 20.0;
        /// Whether lines have the same weight everywhere, or take the least thread.
        pub weight: Weight = Weight::LeastThread;
        /// Ends the trail where it began, even if that takes more thread.
        pub come_back: bool = false;
        /// Also joins the edges of selected regions of the same thread. A region that touches
        /// something becomes lines: its inside is not sewn any more. Edges that two regions share
        /// are sewn once.
        pub region_edges: bool = false;
    }
}

impl JoinOutlines {
    fn walk(&self) -> Walk {
        match (self.weight, self.come_back) {
            (Weight::EvenTwice, _) => Walk::Twice,
            (Weight::LeastThread, true) => Walk::Closed,
            (Weight::LeastThread, false) => Walk::Open,
        }
    }
}

/// Joins the selected outlines of `design`: the step itself.
///
/// # Errors
/// None at present: what cannot be joined stays as it is.
pub fn join_outlines(
    mut design: Design,
    selected: &[usize],
    settings: &JoinOutlines,
) -> Result<Design, Failure> {
    let mut all = Vec::new();
    let mut used = Vec::new();
    let mut outlines = Vec::new();
    for kind in outlines::kinds(&design, selected, settings) {
        let lines = kind.lines();
        for part in network::parts(&lines, settings.reach) {
            // A line that touches nothing is one trail already.
            if part.lines.len() < 2 {
                continue;
            }
            if let Some(trail) = trail::sew(&part, settings.walk()) {
                all.push(joined::Joined::new(&design, &kind, &lines, &part, trail));
                used.extend(part.lines.iter().map(|&line| lines[line].clone()));
            }
        }
        outlines.extend(kind.outlines);
    }
    joined::replace(&mut design, &outlines, all, &used);
    Ok(design)
}

design_step! {
    name: "join-outlines",
    summary: "Joins outlines that touch into one trail each, sewn without a trim.",
    manual: "\
Outlines drawn in pieces would be sewn with a trim after each piece. This step finds where the
selected lines of one thread meet, at their ends, where they cross and where one ends on another,
and makes ONE object with ONE trail of everything that hangs together. The trail is the shortest
there is (route inspection): where an odd number of lines meet, some stretch has to be sewn again,
and the step picks the least of it.

**Use it** on outlines, before `line-run`. Lines that touch nothing stay as they are. The joined
object comes where its last piece was, for outlines belong last, and keeps the first piece's id and
the tags of all.

**Weight.** With `least-thread` the stretches that are sewn again look heavier under single run.
Where that shows, use `even-twice` with single run: every line is passed exactly twice.

**After**: `line-run` (single or triple), then `ties-and-trims`.

The walk is proven shortest up to 400 places where an odd number of lines meet; above that it is
nearly so, and the step says so.",
    settings: JoinOutlines,
    process: join_outlines,
}

#[cfg(test)]
mod tests;
