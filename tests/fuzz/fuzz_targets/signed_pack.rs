//! A signed pack that was changed on its way; see `hoopwright_outside::signed_pack`.
#![no_main]

use hoopwright_outside::signed_pack::SUBJECT;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| SUBJECT.fuzz(bytes));
