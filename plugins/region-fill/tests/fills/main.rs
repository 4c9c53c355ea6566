//! The whole step on shapes of all kinds.

// A test may say what it expects; the crate itself may not.
#![allow(clippy::unwrap_used)]

mod flow;
mod flow_inside;
mod flow_large;
mod hidden_travel;
mod measures;
mod notches;
mod odd_shapes;
mod one_thread;
mod outline;
mod published_values;
mod shapes;
mod told;
mod wishes;
