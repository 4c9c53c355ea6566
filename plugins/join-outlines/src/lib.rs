//! Joins outlines that touch, so that each connected outline is sewn in one trail.
//!
//! The way through the crate: [`outlines`] finds the [`line`](mod@line)s that may be joined;
//! [`contact`] finds where they cross, [`ends`] where they end on each other, and [`network`] cuts
//! them there into a planar graph, held together by [`joints`]. [`painted`] knows what covers what
//! (a [`cover`]), so that [`layers`] keeps the painted order, [`hidden`] links parts by ways that
//! will not be seen, and [`weigh`] counts little what is hidden. [`inspection`] finds the
//! shortest walk along a graph's edges, [`trail`] makes a line of it ([`triple`] for three
//! threads, [`straight`] for satin), [`tally`] reckons what that costs, [`joined`] puts it into
//! the design; [`report`] says what became of each object, [`summary`] what the whole step saved.

mod contact;
mod cover;
mod ends;
mod hidden;
pub mod inspection;
mod joined;
mod joints;
mod layers;
mod line;
mod network;
mod outlines;
mod painted;
mod report;
mod straight;
mod summary;
mod tally;
mod trail;
mod triple;
mod weigh;

use hoopwright_sdk::prelude::*;
use painted::Painted;
use std::collections::BTreeSet;
use trail::Manner;

choices! {
    /// How the weight of joined lines is kept even.
    pub enum Weight {
        /// As little thread as possible: only the stretches that lead on to the next line are
        /// sewn a second time. Sew it as single run.
        #[default]
        LeastThread,
        /// Each line is passed exactly twice, so that all look the same; the trail ends where it
        /// began. Sew it as single run.
        EvenTwice,
        /// Triple run: three threads on each line, four where a branch's return path runs over
        /// it. The line becomes the needle's own way, forward, back and forward; sew it as SINGLE
        /// run. Selected lines that touch nothing become triple run, too.
        EvenTriple,
        /// Each line is passed once, and runs on as straight as it can; one object with several
        /// lines where there are branches. For satin, which must not be sewn twice over.
        Once,
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
        /// Longest stitch of triple run; only `even-triple` uses it. An object's own stitch
        /// length wins. 1.5 to 3 mm are usual.
        pub stitch_length: f64 = 2.0, in "mm", from 1.0 to 6.0;
        /// Ends the trail where it began, even if that takes more thread.
        pub come_back: bool = false;
        /// Lines that do not touch are joined, too, where a straight way of at most this length
        /// lies under what is sewn later. 0 joins only what touches; `once` does not use it.
        pub hidden_travel: f64 = 10.0, in "mm", from 0.0 to 100.0;
        /// Also joins the edges of selected regions of the same thread. A region that touches
        /// something becomes lines: its inside is not sewn any more. Edges that two regions share
        /// are sewn once.
        pub region_edges: bool = false;
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
    let kinds = outlines::kinds(&design, selected, settings);
    let chosen = kinds.iter().flat_map(|kind| &kind.outlines);
    let chosen: BTreeSet<usize> = chosen
        .filter(|outline| outline.width.is_none())
        .map(|outline| outline.object)
        .collect();
    let mut painted = Painted::new(&design, &chosen);
    let mut all = Vec::new();
    let mut used = Vec::new();
    let mut outlines = Vec::new();
    let mut summary = summary::Summary::default();
    for kind in kinds {
        let lines = kind.lines();
        let thread = kind.thread;
        let mut parts = layers::parts(&lines, settings.reach, &painted, thread);
        if settings.weight != Weight::Once {
            let longest = settings.hidden_travel;
            parts = hidden::link(parts, &lines, longest, &mut painted, thread);
        }
        for mut part in parts {
            // A line that touches nothing is one trail already.
            if part.lines.len() < 2 && settings.weight != Weight::EvenTriple {
                summary.alone(thread);
                continue;
            }
            weigh::weigh(&mut part, &lines, &mut painted);
            let manner = Manner {
                weight: settings.weight,
                come_back: settings.come_back,
                stitch_length: stitch_length(&design, &lines, &part, settings),
            };
            match trail::sew(&part, manner) {
                Some(trail) => {
                    summary.joined(thread, part.lines.len(), &trail);
                    all.push(joined::Joined::new(
                        &design, &kind, &lines, &part, trail, manner,
                    ));
                    used.extend(part.lines.iter().map(|&line| lines[line].clone()));
                }
                None => summary.alone(thread),
            }
        }
        outlines.extend(kind.outlines);
    }
    summary.report();
    joined::replace(&mut design, &outlines, all, &used);
    Ok(design)
}

/// The longest stitch of a part's triple run: its first piece that has one says so.
fn stitch_length(
    design: &Design,
    lines: &[line::Line],
    part: &network::Part,
    settings: &JoinOutlines,
) -> f64 {
    let objects = part
        .lines
        .iter()
        .map(|&line| &design.objects[lines[line].object]);
    let own = objects.filter_map(|object| object.sewing.stitch_length);
    let mut own = own.filter(|own| own.is_finite());
    own.next()
        .unwrap_or(settings.stitch_length)
        .clamp(0.5, 12.0)
}

design_step! {
    name: "join-outlines",
    summary: "Joins outlines that touch, or meet out of sight, into one trail each, sewn without a trim.",
    manual: include_str!("../manual.md"),
    settings: JoinOutlines,
    process: join_outlines,
}

#[cfg(test)]
mod tests;
