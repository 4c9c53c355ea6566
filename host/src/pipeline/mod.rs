//! A shop's routine, as a file of steps.
//!
//! A pipeline [`file`](mod@file) is opened with the steps that it may name ([`open`](fn@open)), and
//! checked whole before anything runs ([`check`](mod@check)), against the schemas of its steps and those of
//! its parts; [`schema`] gives editors the same rules. [`run`](mod@run) sends a design through the steps:
//! a [`selection`] says which objects a step may touch, and [`promise`] holds the step to it.

mod agreement;
pub mod apply;
pub mod check;
mod confine;
mod digest;
pub mod file;
mod fill;
mod layout;
mod measures;
mod open;
pub mod part;
mod part_files;
pub mod run;
pub mod schema;
pub mod selection;
mod spent;
mod step_cache;
mod trail;

pub use crate::design::promise;
pub use apply::apply;
pub use check::{Checked, Ready, check, check_part, is_part};
pub use file::{Entry, Include, Measured, Pipeline, Size, Step};
pub use layout::Group;
pub use open::{LARGEST_MIB, Opened, open, open_part, open_pinned, plugins_of};
pub use part_files::{Named, each_named, named_files};
pub use run::{Outcome, Watch, run};
pub use selection::Selection;
pub use step_cache::{StepCache, Tally};
