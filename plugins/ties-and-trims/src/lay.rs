//! Ties, trims and hidden travel put into the objects.

use crate::TiesAndTrims;
use crate::passage::Passage;
use crate::tally::Tally;
use crate::thread_path::{Gap, Needle, Sewn, sewn_back, sewn_on};
use crate::tie;
use hoopwright_sdk::prelude::*;
use std::collections::BTreeMap;

/// What is put beside one needle point.
#[derive(Clone, Debug, Default)]
struct Additions {
    /// The way to the needle point is cut: what lies loose before it goes.
    cut: bool,
    /// Where the needle goes down instead: where the last object ends.
    meets: Option<Coord<f64>>,
    /// Travel sewn before it.
    travel: Vec<Coord<f64>>,
    /// Tie stitches after it.
    tie: Vec<Coord<f64>>,
}

/// By the places of an object and of a stitch in it.
type AtNeedles = BTreeMap<(usize, usize), Additions>;

/// The new stitches of the selected objects, nothing for the others, and what was done.
pub(crate) fn out(
    sewn: &[Sewn],
    gaps: &[Gap],
    passages: &[Passage],
    settings: &TiesAndTrims,
) -> (Vec<Option<Vec<StitchBlock>>>, Tally) {
    let mut tally = Tally::default();
    let mut additions = AtNeedles::new();
    for (gap, passage) in gaps.iter().zip(passages) {
        tally.count(gap, passage, sewn);
        if let Some(before) = gap.before {
            let at_needle = || (before.object, before.stitch);
            match passage {
                Passage::Cut => additions.entry(at_needle()).or_default().cut = true,
                Passage::Meets(end) => {
                    additions.entry(at_needle()).or_default().meets = Some(*end);
                }
                Passage::HiddenStitches(places) => {
                    additions.entry(at_needle()).or_default().travel = places.clone();
                }
                _ => {}
            }
        }
    }
    let parts: Vec<bool> = passages.iter().map(Passage::parts_the_thread).collect();
    for run in runs(gaps, &parts) {
        tally.ties_in += usize::from(tie_in(run, sewn, settings, &mut additions));
        tally.ties_off += usize::from(tie_off(run, sewn, settings, &mut additions));
    }
    let blocks = sewn.iter().enumerate().map(|(place, sewn)| {
        sewn.selected
            .then(|| stitches_with(&sewn.stitches, place, &mut additions))
    });
    (blocks.collect(), tally)
}

/// The gaps around and inside each run of thread: its beginning, the short moves within, its end.
fn runs<'a>(gaps: &'a [Gap], parts: &[bool]) -> Vec<&'a [Gap]> {
    let ends: Vec<usize> = (0..gaps.len().min(parts.len()))
        .filter(|&i| parts[i])
        .collect();
    ends.windows(2)
        .filter_map(|pair| gaps.get(pair[0]..=pair[1]))
        .collect()
}

/// What came of trying to tie the thread at one needle point.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Outcome {
    /// It is tied now.
    Tied,
    /// It needs none, or may not be tied because the object is not selected.
    Left,
    /// The needle goes down once between two moves, and no stitch is sewn.
    NoLength,
}

/// Ties a run in at its first needle point from which anything is sewn. True where it did.
fn tie_in(run: &[Gap], sewn: &[Sewn], settings: &TiesAndTrims, additions: &mut AtNeedles) -> bool {
    let starts = run.iter().take(run.len().saturating_sub(1));
    let mut starts = starts.filter_map(|gap| gap.before).peekable();
    let first = starts.peek().copied();
    let outcome = starts
        .map(|needle| place_tie(&sewn_on(sewn, needle), needle, sewn, settings, additions))
        .find(|outcome| *outcome != Outcome::NoLength);
    if let (None, Some(first)) = (outcome, first) {
        // Said at the run's beginning only, not again at its end.
        warn_of_single_point(first, sewn);
    }
    outcome == Some(Outcome::Tied)
}

/// Ties a run off at its last needle point up to which anything is sewn. True where it did.
fn tie_off(run: &[Gap], sewn: &[Sewn], settings: &TiesAndTrims, additions: &mut AtNeedles) -> bool {
    let ends = run.iter().skip(1).rev().filter_map(|gap| gap.after);
    let outcome = ends
        .map(|needle| place_tie(&sewn_back(sewn, needle), needle, sewn, settings, additions))
        .find(|outcome| *outcome != Outcome::NoLength);
    outcome == Some(Outcome::Tied)
}

fn place_tie(
    line: &[Coord<f64>],
    needle: Needle,
    sewn: &[Sewn],
    settings: &TiesAndTrims,
    additions: &mut AtNeedles,
) -> Outcome {
    let of_stitches_alone = |sewn: &Sewn| matches!(sewn.object.shape, Shape::Manual);
    let manual = sewn.get(needle.object).is_some_and(of_stitches_alone);
    if !is_selected(sewn, needle) || (manual && tie::is_tied(line)) {
        return Outcome::Left;
    }
    let Some(tie) = tie::tie(line, settings.tie_stitches, settings.tie_length) else {
        return Outcome::NoLength;
    };
    let at_needle = additions.entry((needle.object, needle.stitch)).or_default();
    at_needle.tie.extend(tie);
    Outcome::Tied
}

fn warn_of_single_point(needle: Needle, sewn: &[Sewn]) {
    let Some(sewn) = sewn.get(needle.object) else {
        return;
    };
    messages::report(
        Finding::warning("A run of thread with a single needle point cannot be tied.")
            .about(&sewn.object.id)
            .at(needle.at)
            .help("Give it at least one stitch, or take it out of the design."),
    );
}

fn is_selected(sewn: &[Sewn], needle: Needle) -> bool {
    sewn.get(needle.object).is_some_and(|sewn| sewn.selected)
}

/// An object's stitches with what is put beside its needle points.
fn stitches_with(
    stitches: &[Stitch],
    object: usize,
    additions: &mut AtNeedles,
) -> Vec<StitchBlock> {
    let mut list = StitchList::new();
    let mut loose: Vec<Stitch> = Vec::new();
    for (place, &stitch) in stitches.iter().enumerate() {
        if stitch.kind != StitchKind::Needle {
            loose.push(stitch);
            continue;
        }
        let added = additions.remove(&(object, place)).unwrap_or_default();
        if added.cut || !added.travel.is_empty() {
            // A trim moves to the needle point by itself, and sewn travel takes the way instead.
            loose.clear();
        }
        if added.cut {
            list.trim(stitch.at);
        }
        list.extend(loose.drain(..));
        for at in added.travel {
            list.needle(StitchRole::Travel, at);
        }
        list.push(Stitch {
            at: added.meets.unwrap_or(stitch.at),
            ..stitch
        });
        for at in added.tie {
            list.needle(StitchRole::Tie, at);
        }
    }
    list.extend(loose);
    list.into_blocks()
}
