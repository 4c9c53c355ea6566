//! Hoopwright: from artwork to a machine file, through sandboxed steps.
//!
//! The way of the data is the order of the modules: [`formats`] read artwork into a [`design`],
//! a [`pipeline`] sends it through steps in the [`sandbox`], a [`report`] judges what was sewn, and
//! formats, [`preview`], [`playback`] and [`worksheet`] write what comes out; a [`comparison`] lays it
//! beside the artwork. [`diagnostics`] say what went wrong. [`job`] is that way once, [`batch`] many
//! times, and [`live`] again whenever something changes. [`begin`] makes the crate of a new step, and
//! [`trial`] shows it at work.

pub mod artwork;
pub mod batch;
pub mod begin;
pub mod comparison;
pub mod design;
pub mod diagnostics;
pub mod formats;
pub mod job;
pub mod json;
pub mod live;
pub mod output;
pub mod pipeline;
pub mod playback;
pub mod plugins;
pub mod preview;
pub mod rack;
pub mod report;
pub mod sandbox;
pub mod trial;
pub mod worksheet;
