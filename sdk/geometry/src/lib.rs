//! Plane geometry for stitch planning, in millimetres.
//!
//! Types come from [`geo`]; booleans and offsets are `i_overlay`'s, whose integer arithmetic gives
//! the same result on every machine. One file holds one concept:
//!
//! - [`area`]: clean rings into a valid region; union, difference, intersection; lines inside a region
//! - [`offset`]: grow and shrink a region, turn a stroke into a region
//! - [`resample`]: needle points along a line
//! - [`measure`]: length, area, the largest circle inside, the longest axis
//! - [`scan`]: a region cut by parallel lines
//! - [`inside_way`]: the shortest way between two places that never leaves a region
//! - [`medial_axis`]: the middle of a region, with its half-width

pub use geo;

pub mod area;
pub mod groups;
pub mod inside_way;
pub mod measure;
pub mod medial_axis;
pub mod offset;
pub mod resample;
pub mod scan;

pub use area::{FillRule, clean};
