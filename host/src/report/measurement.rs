//! What taking one measure gives.

use super::measure::{Limit, Measure};
use geo::Coord;

/// A place with a value that may be too much.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Spot {
    /// In the measure's unit.
    pub value: f64,
    /// Where, in mm; nothing where it is about the whole design.
    pub at: Option<Coord<f64>>,
    /// The object's place in the design.
    pub object: Option<usize>,
}

/// One measure, taken or not.
#[derive(Clone, Debug)]
pub(super) struct Measurement {
    /// Which.
    pub measure: Measure,
    /// The design's value: the worst place, unless the measure says otherwise. Nothing where it
    /// could not be taken.
    pub value: Option<f64>,
    /// Why it could not be taken, or what was taken for granted.
    pub remark: Option<String>,
    /// The places over the warning or the error limit.
    pub spots: Vec<Spot>,
}

impl Measurement {
    /// A measure whose value is that of its worst place, 0 where there is none. Only places over
    /// `limit` are kept.
    pub fn worst(measure: Measure, limit: Limit, spots: impl IntoIterator<Item = Spot>) -> Self {
        let mut worst = 0.0;
        let over = |spot: &Spot| {
            worst = f64::max(worst, spot.value);
            is_over(spot.value, limit)
        };
        let spots = spots.into_iter().filter(over).collect();
        Self {
            measure,
            value: Some(worst),
            remark: None,
            spots,
        }
    }

    /// A measure of the whole design, without a place.
    pub fn whole(measure: Measure, limit: Limit, value: f64) -> Self {
        let spot = Spot {
            value,
            at: None,
            object: None,
        };
        Self::worst(measure, limit, [spot])
    }

    /// A measure that could not be taken.
    pub fn not(measure: Measure, why: impl Into<String>) -> Self {
        Self {
            measure,
            value: None,
            remark: Some(why.into()),
            spots: Vec::new(),
        }
    }

    /// Says what was taken for granted.
    pub fn remark(mut self, remark: impl Into<String>) -> Self {
        self.remark = Some(remark.into());
        self
    }
}

/// Whether `value` is over either limit.
pub(super) fn is_over(value: f64, limit: Limit) -> bool {
    [limit.warning, limit.error]
        .into_iter()
        .flatten()
        .any(|most| value > most)
}
