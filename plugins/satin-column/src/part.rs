//! The pieces of columns that are sewn in one go.

use crate::column::{Column, Rung};
use crate::sew::Sewing;
use crate::strand::Strand;
use crate::tree::Limb;

/// A piece of a limb, going out from where the thread comes to it.
pub struct Part {
    /// Its column, from where the thread comes to it.
    pub column: Column,
    /// Limbs that hang on it, by the rung where, rising.
    pub children: Vec<(usize, usize)>,
    /// Whether it is sewn as a run: the whole of its column is too narrow for satin, not only this piece.
    pub narrow: bool,
}

impl Part {
    /// Some rungs of a limb's column; with `backward`, the thread comes to the last of them.
    pub fn of(
        strand: &Strand,
        limb: &Limb,
        range: std::ops::RangeInclusive<usize>,
        backward: bool,
        how: &Sewing,
    ) -> Self {
        let column = &strand.column;
        let (low, high) = (*range.start(), *range.end());
        let top = column.rungs().count().saturating_sub(1);
        let piece = if (low, high) == (0, top) {
            column.clone()
        } else {
            column.piece(low..=high)
        };
        let on_it = limb
            .children
            .iter()
            .filter(|child| range.contains(&child.1));
        let mut children: Vec<(usize, usize)> = on_it
            .map(|&(child, rung)| (if backward { high - rung } else { rung - low }, child))
            .collect();
        children.sort_unstable();
        Self {
            narrow: how.is_narrow(strand),
            column: if backward { piece.reversed() } else { piece },
            children,
        }
    }

    /// A column that runs all the way round, from a rung on.
    pub fn of_loop(strand: &Strand, limb: &Limb, start: usize, how: &Sewing) -> Self {
        let column = &strand.column;
        let mut rungs: Vec<Rung> = column.rungs().copied().collect();
        rungs.pop();
        let count = rungs.len().max(1);
        let start = start % count;
        rungs.rotate_left(start);
        rungs.extend(rungs.first().copied());
        let mut children: Vec<(usize, usize)> = limb
            .children
            .iter()
            .map(|&(child, rung)| ((rung + count - start) % count, child))
            .collect();
        children.sort_unstable();
        Self {
            column: Column {
                sections: vec![rungs],
                closed: true,
                pull: column.pull,
            },
            children,
            narrow: how.is_narrow(strand),
        }
    }
}
