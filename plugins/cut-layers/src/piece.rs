//! One object with all that lies on it: so much the work on it needs, and no more, so that it can be given out.

use crate::region::{self, Cut};
use crate::upper::Upper;
use crate::{CutLayers, line};
use hoopwright_sdk::Lines;
use hoopwright_sdk::geometry::geo::MultiPolygon;
use hoopwright_sdk::piecework::Piecework;
use hoopwright_sdk::prelude::*;
use serde::{Deserialize, Serialize};

/// An object to be cut.
#[derive(Serialize, Deserialize)]
pub struct Piece {
    /// Its area, cleaned; of lines, what their strokes cover.
    area: Region,
    /// The lines, where it is lines.
    lines: Option<Lines>,
    /// The topmost first.
    above: Vec<Above>,
}

/// What hides some of it.
#[derive(Serialize, Deserialize)]
struct Above {
    area: Region,
    lines: Option<Lines>,
    /// How far what lies beneath goes on, in mm.
    underlap: f64,
}

impl Piece {
    /// An object of this shape that covers `area`, beneath `above`.
    pub(crate) fn of(
        shape: &Shape,
        area: &MultiPolygon<f64>,
        above: &[&Upper],
        settings: &CutLayers,
    ) -> Self {
        let lines = match shape {
            Shape::Lines(lines) => Some(lines.clone()),
            Shape::Region(_) | Shape::Manual => None,
        };
        let above = above.iter().map(|upper| Above {
            area: Region::from(&upper.area),
            lines: upper.lines.clone(),
            underlap: upper.underlap(settings),
        });
        Self {
            area: Region::from(area),
            lines,
            above: above.collect(),
        }
    }
}

impl Piecework for CutLayers {
    type Piece = Piece;
    type Done = Cut<Shape>;

    fn work(&self, piece: Piece) -> Cut<Shape> {
        let above = piece.above.into_iter().enumerate();
        let above: Vec<Upper> = above
            .filter_map(|(number, it)| {
                Upper::known(number, it.area.to_multi_polygon(), it.lines, it.underlap)
            })
            .collect();
        let above: Vec<&Upper> = above.iter().collect();
        let area = piece.area.to_multi_polygon();
        match &piece.lines {
            Some(lines) => line::cut(lines, &area, &above, self).map(Shape::Lines),
            None => region::cut(&area, &above, self).map(|left| Shape::Region(Region::from(&left))),
        }
    }
}
