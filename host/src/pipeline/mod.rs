//! A shop's routine, as a file of steps.
//!
//! A pipeline [`file`](mod@file) is checked whole before anything runs ([`check`](mod@check)), against the schemas of
//! its steps; [`schema`] gives editors the same rules. [`run`](mod@run) sends a design through the steps:
//! a [`selection`] says which objects a step may touch, and [`promise`] holds the step to it.

pub mod apply;
pub mod check;
mod digest;
pub mod file;
mod measures;
pub mod run;
pub mod schema;
pub mod selection;
mod step_cache;
mod trail;

pub use crate::design::promise;
pub use apply::apply;
pub use check::{Checked, check};
pub use file::{Pipeline, Size, Step};
pub use run::{Outcome, Watch, run};
pub use selection::Selection;
pub use step_cache::{StepCache, Tally};
