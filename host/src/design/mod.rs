//! The design: what flows from the artwork through the steps to the machine file.
//!
//! The types are the contract's own, generated from `sdk/wit/hoopwright.wit`: millimetres,
//! degrees, y down. [`valid`] tells whether a design may cross into a step or a file, and [`promise`]
//! whether a step left alone what it must.

// The contract's types are generated twice, here for the host and in the SDK for guests. What both
// can do with them is written once, in the SDK's source files.
#[path = "../../../sdk/src/hiding.rs"]
pub mod hiding;
#[path = "../../../sdk/src/promise.rs"]
pub mod promise;
#[path = "../../../sdk/src/shape.rs"]
mod shape;
#[path = "../../../sdk/src/stitches.rs"]
mod stitches;
#[path = "../../../sdk/src/valid.rs"]
pub mod valid;

mod extent;
mod sound;
pub mod texts;

pub use crate::sandbox::bindings::model::{
    Design, DirectionMark, Lines, Object, Point, Polygon, Polyline, Rectangle, Region, Sewing,
    Shape, StitchBlock, StitchKind, StitchRole, Thread,
};
pub use extent::bounds;
pub use sound::unsound;
pub use stitches::{Stitch, StitchList, THREAD_REACH, THREAD_SPREAD, THREAD_WIDTH, stitches_of};
