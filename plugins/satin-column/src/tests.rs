//! The step as a whole.

mod picture;
mod shapes;
