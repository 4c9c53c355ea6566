//! A region cut by parallel lines.
