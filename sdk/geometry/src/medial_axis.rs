//! The medial axis of a region, with its half-width.
