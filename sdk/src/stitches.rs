//! Stitches one by one, over the contract's blocks of columns.

use super::{StitchBlock, StitchKind, StitchRole};
use geo::Coord;

/// How wide a thread is to look at and to measure by once it is sewn, in mm, that of weight 40, the trade's
/// usual one (common practice): flattened, with its loose fibres. For footprints, bounds and pictures. What
/// it surely hides is less wide: see [`THREAD_REACH`].
pub const THREAD_WIDTH: f64 = 0.4;

/// How wide the body of that thread is, in mm (common practice).
pub const THREAD_BODY: f64 = 0.25;

/// How far beyond its body, to each side, the cloth does not show, in mm: there the thread spreads and
/// the weave closes (the project's acceptance values, as in `tests/oracle/measures/quality.py`).
pub const THREAD_SPREAD: f64 = 0.1;

/// How far to each side of its middle one thread hides the cloth, in mm.
pub const THREAD_REACH: f64 = THREAD_BODY / 2.0 + THREAD_SPREAD;

/// One stitch: a place in mm, how it is made, and what it is for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stitch {
    /// Where.
    pub at: Coord<f64>,
    /// How it is made.
    pub kind: StitchKind,
    /// What it is for.
    pub role: StitchRole,
}

/// The stitches of `blocks`, in order.
pub fn stitches_of(blocks: &[StitchBlock]) -> impl Iterator<Item = Stitch> + '_ {
    blocks.iter().flat_map(|block| {
        block.x.iter().zip(&block.y).map(|(&x, &y)| Stitch {
            at: Coord { x, y },
            kind: block.kind,
            role: block.role,
        })
    })
}

/// Stitches being laid, one after the other.
#[derive(Clone, Debug, Default)]
pub struct StitchList {
    blocks: Vec<StitchBlock>,
}

impl StitchList {
    /// No stitches yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds a stitch.
    pub fn push(&mut self, stitch: Stitch) {
        match self.blocks.last_mut() {
            Some(block) if block.kind == stitch.kind && block.role == stitch.role => {
                block.x.push(stitch.at.x);
                block.y.push(stitch.at.y);
            }
            _ => self.blocks.push(StitchBlock {
                kind: stitch.kind,
                role: stitch.role,
                x: vec![stitch.at.x],
                y: vec![stitch.at.y],
            }),
        }
    }

    /// The needle goes down at `at`.
    pub fn needle(&mut self, role: StitchRole, at: Coord<f64>) {
        self.push(Stitch {
            at,
            kind: StitchKind::Needle,
            role,
        });
    }

    /// The hoop moves to `at` with the needle up.
    pub fn jump(&mut self, at: Coord<f64>) {
        self.push(Stitch {
            at,
            kind: StitchKind::Jump,
            role: StitchRole::Travel,
        });
    }

    /// The thread is cut and the hoop moves to `at`.
    pub fn trim(&mut self, at: Coord<f64>) {
        self.push(Stitch {
            at,
            kind: StitchKind::Trim,
            role: StitchRole::Travel,
        });
    }

    /// Where the last stitch is.
    pub fn last(&self) -> Option<Coord<f64>> {
        self.last_stitch().map(|stitch| stitch.at)
    }

    /// The last stitch.
    pub fn last_stitch(&self) -> Option<Stitch> {
        let block = self.blocks.last()?;
        Some(Stitch {
            at: Coord {
                x: *block.x.last()?,
                y: *block.y.last()?,
            },
            kind: block.kind,
            role: block.role,
        })
    }

    /// Whether nothing was laid.
    pub fn is_empty(&self) -> bool {
        self.blocks.is_empty()
    }

    /// The stitches as the contract carries them.
    pub fn into_blocks(self) -> Vec<StitchBlock> {
        self.blocks
    }
}

impl Extend<Stitch> for StitchList {
    fn extend<I: IntoIterator<Item = Stitch>>(&mut self, stitches: I) {
        for stitch in stitches {
            self.push(stitch);
        }
    }
}
