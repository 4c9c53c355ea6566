//! Any shape and any settings for the step; see `hoopwright_craft::any`.
#![no_main]

use hoopwright_craft::any::{Case, sound};
use hoopwright_craft::runs::Step;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let case = Case::of(Step::RegionFill, bytes);
    let outcome = case.sew().expect("the step takes what its schema allows");
    let wrongs = sound::wrongs(&case, &outcome);
    assert!(wrongs.is_empty(), "{}\n{case:?}", wrongs.join("; "));
});
