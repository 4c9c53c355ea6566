//! What the step says about what it chose.

use crate::ground::Hanging;
use crate::outline::Outline;
use crate::plan::Way;
use hoopwright_sdk::groups::Groups;
use hoopwright_sdk::prelude::*;
use std::collections::BTreeMap;

/// Sums over all blocks.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Account {
    moves: usize,
    hidden: usize,
    open: f64,
    cut: usize,
    /// Objects that hang together with no other of their block count one each.
    parts: usize,
    blocks: usize,
}

impl Account {
    /// Counts one way between objects of a block.
    pub fn count_move(&mut self, way: Option<Way>) {
        self.moves += usize::from(way.is_some());
        match way {
            Some(Way::Hidden(length)) if length > 0.0 => self.hidden += 1,
            Some(Way::Open(length)) => self.open += length,
            Some(Way::Cut(_)) => self.cut += 1,
            Some(Way::Hidden(_)) | None => {}
        }
    }

    /// Counts the parts of a block that hang together.
    pub fn count_parts(&mut self, block: &[usize], outlines: &[Outline], hanging: &mut Hanging) {
        let mut groups = Groups::new(block.len());
        let mut first_at: BTreeMap<usize, usize> = BTreeMap::new();
        for (at, &object) in block.iter().enumerate() {
            for &place in outlines[object].places() {
                for piece in hanging.at(place) {
                    groups.merge(at, *first_at.entry(piece).or_insert(at));
                }
            }
        }
        self.blocks += 1;
        self.parts += groups.count();
    }

    /// Reports it.
    pub fn report(&self) {
        if self.moves == 0 {
            messages::report(Finding::note(
                "No two objects of one thread follow each other, so there is nothing to choose.",
            ));
            return;
        }
        messages::report(Finding::note(format!(
            "Of {} ways between objects of one thread {} lie under what is sewn later, {} want a trim \
             ({} by what hangs together), and {:.1} mm in all lie open.",
            self.moves,
            self.hidden,
            self.cut,
            self.parts.saturating_sub(self.blocks),
            self.open,
        )));
    }
}
