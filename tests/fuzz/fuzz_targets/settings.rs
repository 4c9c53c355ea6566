//! A step's settings; see `hoopwright_outside::settings`.
#![no_main]

use hoopwright_outside::settings::SUBJECT;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| SUBJECT.fuzz(bytes));
