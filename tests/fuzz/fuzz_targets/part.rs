//! A part of a routine; see `hoopwright_outside::part`.
#![no_main]

use hoopwright_outside::part::SUBJECT;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| SUBJECT.fuzz(bytes));
