//! What the operator needs at the machine, as data and as a page to print.

mod cautions;
mod hand_fields;
mod line;
mod needles;
mod page;
mod paper;
mod pdf;
mod picture_scale;
mod setup;
mod time;
mod wording;

pub use needles::{NeedleThread, number as number_needles, problems as needle_problems};
pub use page::html;
pub use paper::Paper;
pub use pdf::{Printable, pdf};
pub use picture_scale::PictureScale;
pub use setup::{OperatorNotes, unknown_hoop};
pub use time::{mean_speed, seconds};

use crate::design::Design;
use crate::diagnostics::Diagnostic;
use crate::formats::dst::record::UNITS_PER_MM;
use crate::formats::dst::{Beginning, Machine, Route, Written};
use crate::rack::Colour;
use crate::rounding::rounded;
use serde::Serialize;

/// Top thread for 1000 stitches, in m, with what goes into loops and tails. Source: a thread
/// maker's glossary, as do the bobbin's 3 m.
const TOP_METRES_PER_1000: f64 = 5.0;
/// Bobbin thread for 1000 stitches, in m.
const BOBBIN_METRES_PER_1000: f64 = 3.0;

/// What the operator needs at the machine.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Worksheet {
    /// The design's title.
    pub title: String,
    /// Width of what is sewn, in mm.
    pub width: f64,
    /// Height of what is sewn, in mm.
    pub height: f64,
    /// How far the needle goes from its start to the left, right, up and down, in mm.
    pub reach: Reach,
    /// How often the needle goes down.
    pub stitches: usize,
    /// How often the thread is cut between two halts.
    pub trims: usize,
    /// How often the thread is changed.
    pub thread_changes: usize,
    /// How often the machine stops for the operator and goes on with the same thread.
    pub stops: usize,
    /// The shortest stitch that is not reached by a jump, in mm.
    pub shortest_stitch: Option<f64>,
    /// The longest stitch that is not reached by a jump, in mm.
    pub longest_stitch: Option<f64>,
    /// How long the machine needs, in seconds, at the speed below.
    pub seconds: f64,
    /// The mean speed that the estimate of time comes to, in stitches a minute.
    pub speed: u16,
    /// Top thread by the rule of 5 m for 1000 stitches, in m.
    pub top_thread: f64,
    /// Bobbin thread by the rule of 3 m for 1000 stitches, in m.
    pub bobbin_thread: f64,
    /// Top thread as it lies on the cloth from needle point to needle point, in m; loops through
    /// the cloth and tails come on top.
    pub laid_thread: f64,
    /// What is sewn, from one halt of the machine to the next, in order.
    pub runs: Vec<ThreadRun>,
    /// What the shop says about the job.
    pub setup: OperatorNotes,
    /// What to look at before sewing.
    pub warnings: Vec<Diagnostic>,
    /// What to take care of at the machine.
    pub cautions: Vec<&'static str>,
}

/// How far the hoop moves from the start point, in mm.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Reach {
    /// To the left.
    pub left: f64,
    /// To the right.
    pub right: f64,
    /// Up.
    pub up: f64,
    /// Down.
    pub down: f64,
}

/// What is sewn from one halt of the machine to the next.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct ThreadRun {
    /// Its place in the order, from 1.
    pub position: usize,
    /// What the machine halts for before it.
    pub begins: Beginning,
    /// The needle that the thread stands on. Missing where the machine has none left for it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub needle: Option<u16>,
    /// The shop's code of the thread; may be empty.
    pub code: String,
    /// The thread's name.
    pub name: String,
    /// The thread's colour, such as `#c08040` (sRGB).
    pub colour: String,
    /// The thread's weight number.
    pub weight: u16,
    /// How often the needle goes down.
    pub stitches: usize,
    /// How often the thread is cut.
    pub trims: usize,
    /// The thread as it lies on the cloth, in m.
    pub laid_thread: f64,
}

/// Makes the worksheet of what was written.
pub fn build(
    design: &Design,
    written: &Written,
    machine: &Machine,
    notes: &OperatorNotes,
) -> Worksheet {
    let route = &written.route;
    let sewn = design.needle_bounds();
    let stitches = route.stitches();
    let thousands = stitches as f64 / 1000.0;
    let begun = |by: Beginning| route.runs.iter().filter(|run| run.begins == by).count();
    let lengths = || route.runs.iter().filter_map(|run| run.stitch_lengths);
    let shortest = lengths().map(|(shortest, _)| shortest).reduce(f64::min);
    let longest = lengths().map(|(_, longest)| longest).reduce(f64::max);
    let laid: f64 = route.runs.iter().map(|run| run.thread_length).sum();
    let reach = reach(route);
    let runs = thread_runs(design, route, &notes.needles, machine);
    let held = needles::held_back(&runs, &notes.needles, machine);
    Worksheet {
        title: design.title.clone(),
        width: rounded(sewn.map_or(0.0, |sewn| sewn.width()), 1),
        height: rounded(sewn.map_or(0.0, |sewn| sewn.height()), 1),
        reach,
        stitches,
        trims: route.trims(),
        thread_changes: begun(Beginning::ThreadChange),
        stops: begun(Beginning::Stop),
        shortest_stitch: shortest.map(|mm| rounded(mm, 2)),
        longest_stitch: longest.map(|mm| rounded(mm, 2)),
        seconds: rounded(seconds(route, machine), 1),
        speed: mean_speed(route, machine),
        top_thread: rounded(TOP_METRES_PER_1000 * thousands, 2),
        bobbin_thread: rounded(BOBBIN_METRES_PER_1000 * thousands, 2),
        laid_thread: rounded(laid / 1000.0, 2),
        runs,
        setup: notes.plain(),
        warnings: [notes.hoop.and_then(|hoop| setup::misfit(hoop, reach)), held]
            .into_iter()
            .flatten()
            .collect(),
        cautions: cautions::ALL.to_vec(),
    }
}

fn thread_runs(
    design: &Design,
    route: &Route,
    fixed: &[NeedleThread],
    machine: &Machine,
) -> Vec<ThreadRun> {
    let order = route.runs.iter().map(|run| run.thread);
    let needles = number_needles(
        order,
        &design.threads,
        fixed,
        machine.needles.map(u16::from),
    );
    let run = |(i, run): (usize, &crate::formats::dst::Run)| {
        let thread = design.threads.get(run.thread as usize);
        ThreadRun {
            position: i + 1,
            begins: run.begins,
            needle: needles.get(&run.thread).copied(),
            code: thread.map(|t| t.code.clone()).unwrap_or_default(),
            name: thread.map(|t| t.name.clone()).unwrap_or_default(),
            colour: thread.map_or(Colour::new([0; 3]), Colour::of).to_string(),
            weight: thread.map_or(0, |t| t.weight),
            stitches: run.stitches,
            trims: run.trims,
            laid_thread: rounded(run.thread_length / 1000.0, 2),
        }
    };
    route.runs.iter().enumerate().map(run).collect()
}

fn reach(route: &Route) -> Reach {
    let mm = |units: u32| f64::from(units) / UNITS_PER_MM;
    Reach {
        left: mm(route.extents.left),
        right: mm(route.extents.right),
        up: mm(route.extents.up),
        down: mm(route.extents.down),
    }
}

#[cfg(test)]
mod tests;
