//! The pack; see `hoopwright_outside::pack`.
#![no_main]

use hoopwright_outside::pack::SUBJECT;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| SUBJECT.fuzz(bytes));
