//! The shops that are trusted; see `hoopwright_outside::trust`.
#![no_main]

use hoopwright_outside::trust::SUBJECT;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| SUBJECT.fuzz(bytes));
