//! The DST machine file.
