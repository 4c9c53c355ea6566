//! Copies in rows and columns.

use crate::{Between, Repeat, Spot, Spots};
use hoopwright_sdk::Placement;
use hoopwright_sdk::bounds::Bounds;
use hoopwright_sdk::prelude::*;

/// Row by row from the top, each from the left; the original is the first of the first row.
pub(crate) fn spots(motif: &Bounds, settings: &Repeat) -> Spots {
    let pitch = |length: f64, distance: f64| match settings.between {
        Between::Edges => length + distance,
        Between::Centres => distance,
    };
    let across = pitch(motif.across.length(), settings.across);
    let down = pitch(motif.down.length(), settings.down);
    let shift = across * settings.row_shift / 100.0;
    let cells = (0..settings.rows).flat_map(|row| (0..settings.columns).map(move |c| (row, c)));
    let copies = cells
        .filter(|&cell| cell != (0, 0))
        .map(|(row, column)| {
            let by = Coord {
                x: f64::from(column) * across + f64::from(row % 2) * shift,
                y: f64::from(row) * down,
            };
            Spot {
                suffix: format!("row-{}-column-{}", row + 1, column + 1),
                placement: Placement::moving(by),
            }
        })
        .collect();
    Spots {
        original: Placement::default(),
        copies,
    }
}
