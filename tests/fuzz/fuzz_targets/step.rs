//! A stock step on any design; see `hoopwright_outside::step`.
#![no_main]

use hoopwright_outside::step::SUBJECT;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| SUBJECT.fuzz(bytes));
