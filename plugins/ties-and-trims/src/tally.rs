//! What was done, in numbers, and what could not be done.

use crate::passage::Passage;
use crate::thread_path::{Gap, Sewn};
use hoopwright_sdk::geometry::measure::distance;
use hoopwright_sdk::prelude::*;

/// What was done, in numbers.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Tally {
    pub ties_in: usize,
    pub ties_off: usize,
    trims: usize,
    hidden_sewn: usize,
    hidden_jumps: usize,
}

impl Tally {
    /// Counts what becomes of a gap, and warns where it could not become what it should.
    pub fn count(&mut self, gap: &Gap, passage: &Passage, sewn: &[Sewn]) {
        match passage {
            Passage::Cut => self.trims += 1,
            Passage::HiddenJump => self.hidden_jumps += 1,
            Passage::HiddenStitches(_) => self.hidden_sewn += 1,
            Passage::CutNotAllowed => warn_of_open_travel(gap, sewn),
            Passage::RunsOn | Passage::Meets(_) | Passage::Ends => {}
        }
    }

    /// Reports the numbers as a note.
    pub fn report(&self, selected: usize) {
        if selected == 0 {
            messages::report(Finding::note("Nothing was selected, so nothing was tied."));
            return;
        }
        let Self {
            ties_in,
            ties_off,
            trims,
            hidden_sewn,
            hidden_jumps,
        } = self;
        messages::report(Finding::note(format!(
            "{trims} trims, {ties_in} tie-ins, {ties_off} tie-offs; hidden travel: {hidden_sewn} \
             sewn, {hidden_jumps} left as jumps."
        )));
    }
}

fn warn_of_open_travel(gap: &Gap, sewn: &[Sewn]) {
    let (Some(after), Some(before)) = (gap.after, gap.before) else {
        return;
    };
    let (Some(from), Some(to)) = (sewn.get(after.object), sewn.get(before.object)) else {
        return;
    };
    // Where neither may be changed, it is none of this step's business.
    if !from.selected {
        return;
    }
    messages::report(
        Finding::warning(format!(
            "{:.1} mm of travel to `{}` should be trimmed, but that object is not selected.",
            distance(after.at, before.at),
            to.object.id
        ))
        .about(&from.object.id)
        .at(after.at)
        .help("Let this step act on both objects."),
    );
}
