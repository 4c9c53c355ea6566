//! Write a step for Hoopwright.
//!
//! A step is one function over a settings struct, and one macro that makes the plugin of it:
//!
//! ```
//! use hoopwright_sdk::Placement;
//! use hoopwright_sdk::prelude::*;
//!
//! settings! {
//!     /// Moves an object across the cloth.
//!     pub struct Nudge {
//!         /// How far to the right; negative is to the left.
//!         pub right: f64 = 1.0, in "mm", from -500.0 to 500.0;
//!     }
//! }
//!
//! fn nudge(object: Object, _thread: &Thread, settings: &Nudge) -> Result<Object, Failure> {
//!     let by = Coord { x: settings.right, y: 0.0 };
//!     // Shape, stitches, ends and marks together: later steps and the report look for the thread in the shape.
//!     object.placed(&Placement::moving(by))
//! }
//!
//! object_step! {
//!     name: "nudge",
//!     summary: "Moves an object to the right, drawn shape and stitches together.",
//!     settings: Nudge,
//!     process: nudge,
//! }
//! ```
//!
//! The doc comments of the settings become the descriptions that digitizers read, so write them
//! for a digitizer. Units: millimetres, degrees, y down (see `wit/hoopwright.wit`).

// The macros name this crate by its name, also from within.
extern crate self as hoopwright_sdk;

pub mod bindings;
pub mod bounds;
pub mod copies;
mod description;
mod entry;
mod failure;
pub mod hiding;
pub mod messages;
pub mod piecework;
mod place;
mod placement;
#[cfg(all(feature = "testing", not(target_arch = "wasm32")))]
pub mod promise;
pub mod selection;
mod settings;
mod shape;
#[cfg(not(target_arch = "wasm32"))]
mod step;
pub mod stitch_making;
mod stitches;
#[cfg(all(feature = "testing", not(target_arch = "wasm32")))]
pub mod testing;
mod threads;
#[cfg(all(feature = "testing", not(target_arch = "wasm32")))]
pub mod valid;

pub use bindings::{
    Description, Design, DirectionMark, Failure, Finding, Lines, Object, Point, Polygon, Polyline,
    Rectangle, Region, Severity, Sewing, Shape, StitchBlock, StitchKind, StitchRole, Thread,
};
pub use description::describe;
pub use entry::{CONTRACT_VERSION, enter};
pub use hoopwright_geometry as geometry;
pub use hoopwright_geometry::groups;
pub use place::Place;
pub use placement::Placement;
#[doc(hidden)]
pub use settings::{Ranged, ranged};
#[cfg(not(target_arch = "wasm32"))]
pub use step::{Process, Step};
pub use stitches::{
    Stitch, StitchList, THREAD_BODY, THREAD_REACH, THREAD_SPREAD, THREAD_WIDTH, stitches_of,
};
pub use {schemars, serde, serde_json, wit_bindgen};

/// What almost every step needs.
pub mod prelude {
    pub use crate::geometry::geo::{self, Coord};
    pub use crate::{
        Design, Failure, Finding, Object, Point, Polyline, Region, Severity, Shape, Stitch,
        StitchBlock, StitchKind, StitchList, StitchRole, Thread, choices, design_step, geometry,
        messages, object_step, settings, stitches_of,
    };
}
