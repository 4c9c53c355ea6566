//! Flat SVG artwork.
