//! A guest that takes stitches and gives them back, in columns or in records.

// Its exports have names that no native library can have.
#![cfg(target_arch = "wasm32")]
#![allow(
    missing_docs,
    unsafe_code,
    reason = "the bindings are generated, and reach into the guest's memory"
)]

wit_bindgen::generate!({ path: "wit", world: "crossing" });

use exports::speed::crossing::ways::{Block, Guest, Stitch};

struct Crossing;

impl Guest for Crossing {
    fn nothing() {}

    fn columns(blocks: Vec<Block>) -> Vec<Block> {
        blocks
    }

    fn records(stitches: Vec<Stitch>) -> Vec<Stitch> {
        stitches
    }
}

export!(Crossing);
