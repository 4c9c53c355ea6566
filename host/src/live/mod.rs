//! The live loop.
