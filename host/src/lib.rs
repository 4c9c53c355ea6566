//! Hoopwright: from artwork to a machine file, through sandboxed steps.
//!
//! The way of the data is the order of the modules: [`formats`] read artwork into a [`design`],
//! a [`pipeline`] sends it through steps in the [`sandbox`], and formats, [`preview`], [`playback`] and
//! [`worksheet`] write what comes out. [`diagnostics`] say what went wrong.

pub mod artwork;
pub mod design;
pub mod diagnostics;
pub mod formats;
pub mod job;
pub mod json;
pub mod pipeline;
pub mod playback;
pub mod plugins;
pub mod preview;
pub mod rack;
pub mod sandbox;
pub mod worksheet;
