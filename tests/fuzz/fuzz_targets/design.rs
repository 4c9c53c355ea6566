//! The design as JSON; see `hoopwright_outside::design`.
#![no_main]

use hoopwright_outside::design::SUBJECT;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| SUBJECT.fuzz(bytes));
