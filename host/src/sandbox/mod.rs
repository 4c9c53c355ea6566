//! sandbox
pub mod bindings;
