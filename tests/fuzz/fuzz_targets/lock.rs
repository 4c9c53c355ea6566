//! The lock of a pipeline; see `hoopwright_outside::lock`.
#![no_main]

use hoopwright_outside::lock::SUBJECT;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| SUBJECT.fuzz(bytes));
