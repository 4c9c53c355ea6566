//! A machine's profile; see `hoopwright_outside::machine`.
#![no_main]

use hoopwright_outside::machine::SUBJECT;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| SUBJECT.fuzz(bytes));
