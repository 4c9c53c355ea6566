//! Artwork as SVG; see `hoopwright_outside::svg`.
#![no_main]

use hoopwright_outside::svg::SUBJECT;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| SUBJECT.fuzz(bytes));
