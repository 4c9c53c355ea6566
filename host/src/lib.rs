//! Hoopwright.
