//! Files in and out: artwork, designs and machine files.

pub mod design_json;
pub mod dst;
pub mod svg;
