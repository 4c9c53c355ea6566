//! The pipeline file; see `hoopwright_outside::pipeline`.
#![no_main]

use hoopwright_outside::pipeline::SUBJECT;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| SUBJECT.fuzz(bytes));
