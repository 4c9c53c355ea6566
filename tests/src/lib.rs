//! Whole-program tests, and what they check against that is not of the program itself.

pub mod independent_dst;
