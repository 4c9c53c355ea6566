//! The thread rack, as JSON and as a table; see `hoopwright_outside::rack`.
#![no_main]

use hoopwright_outside::rack::SUBJECT;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| SUBJECT.fuzz(bytes));
