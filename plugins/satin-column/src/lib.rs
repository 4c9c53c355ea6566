//! step
