//! The DST machine file; see `hoopwright_outside::dst`.
#![no_main]

use hoopwright_outside::dst::SUBJECT;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| SUBJECT.fuzz(bytes));
