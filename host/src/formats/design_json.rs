//! The design as JSON.
