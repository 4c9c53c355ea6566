//! A picture of the stitches.
