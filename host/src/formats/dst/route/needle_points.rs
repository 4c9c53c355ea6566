//! The needle points of a design as the machine sews them: what the report measures and what pictures
//! mark.

use super::Route;
use crate::design::{Design, StitchKind, StitchRole};
use geo::Coord;

/// How the thread comes to a needle point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// It begins here: the start, the next thread, or after a stop.
    Begins,
    /// It was cut on purpose.
    Cut,
    /// It was not to be cut, but the way needs so many jumps that the machine cuts it.
    CutByLength,
    /// It lies loose on the cloth, uncut.
    Carried,
    /// It was sewn here.
    Sewn,
}

impl Way {
    /// Whether thread lies between the needle point and the one before.
    pub fn lies(self) -> bool {
        matches!(self, Self::Carried | Self::Sewn)
    }
}

/// A place where the needle goes down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NeedlePoint {
    /// Where, in mm of the design.
    pub at: Coord<f64>,
    /// What the stitch that ends here is for.
    pub role: StitchRole,
    /// How the thread comes here.
    pub way: Way,
    /// The object's place in the design.
    pub object: usize,
}

// The route keeps one byte for each, and the design the rest: there may be millions.
const _: () = assert!(size_of::<Option<Way>>() == 1);

impl Route {
    /// The needle points of `design`, whose route this is, in sewing order. What would fall on the
    /// point before is not there, as in the file.
    pub fn needle_points(&self, design: &Design) -> impl Iterator<Item = NeedlePoint> {
        let stitches = design
            .objects
            .iter()
            .enumerate()
            .flat_map(|(place, object)| object.each_stitch().map(move |stitch| (place, stitch)));
        stitches
            .filter(|(_, stitch)| stitch.kind == StitchKind::Needle)
            .zip(&self.ways)
            .filter_map(|((object, stitch), way)| {
                Some(NeedlePoint {
                    at: stitch.at,
                    role: stitch.role,
                    way: (*way)?,
                    object,
                })
            })
    }
}
