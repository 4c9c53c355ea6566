//! Tests of the whole step.
