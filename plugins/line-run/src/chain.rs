//! Lines in sewing order, those that touch made into one.

use crate::drawn::{Drawn, SHORTEST_LINE};
use geometry::measure::distance;
use hoopwright_sdk::prelude::*;

/// Ends up to this far apart touch, in mm: no stitch fits between them.
pub const TOUCH: f64 = SHORTEST_LINE;

/// One line of each series of `lines` in which each begins where the one before ends.
/// A series that comes back to its beginning is closed.
pub fn join_touching(lines: Vec<Drawn>) -> Vec<Drawn> {
    let mut chains: Vec<Drawn> = Vec::new();
    for line in lines {
        let touching = chains
            .last_mut()
            .filter(|chain| touch(chain.corners.last(), line.corners.first()));
        match touching {
            Some(chain) => {
                chain.corners.extend(line.corners);
                chain.corners.dedup();
                chain.closed = chain.corners.first() == chain.corners.last();
            }
            None => chains.push(line),
        }
    }
    chains
}

fn touch(end: Option<&Coord<f64>>, start: Option<&Coord<f64>>) -> bool {
    end.zip(start)
        .is_some_and(|(&end, &start)| distance(end, start) <= TOUCH)
}
