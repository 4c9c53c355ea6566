//! A step while it is being written: compiled, made a component, and shown at work.
//!
//! [`compile`](mod@compile) makes the plugin of a crate's source; [`before_after`](fn@before_after)
//! draws the design before and after the step; [`unfit_defaults`] looks at its settings.

mod before_after;
mod compile;
mod defaults;
// Written once, for the SDK's tests and for here.
#[path = "../../../sdk/src/testing/defaults.rs"]
mod each_default;

pub use before_after::before_after;
pub use compile::compile;
pub use defaults::unfit_defaults;
