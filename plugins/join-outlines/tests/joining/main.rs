//! The step from outside: drawings are joined, and sewn by the steps that come next.

mod drawing;
mod hidden;
mod order;
mod parallel;
mod random;
mod satin;
mod triple;
