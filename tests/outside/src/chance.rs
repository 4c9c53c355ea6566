//! Chances.

use arbitrary::{Result, Unstructured};

/// Yes once in `many` times; no where the bytes have ended.
pub fn once_in(bytes: &mut Unstructured<'_>, many: u8) -> Result<bool> {
    Ok(bytes.int_in_range(1..=many)? == many && many > 1)
}

/// Bytes without order, always the same ones for a number: a linear congruential generator with the
/// multiplier of Knuth's MMIX (from memory).
pub fn counted(number: u64) -> impl Iterator<Item = u8> + use<> {
    let mut state = number.wrapping_mul(0x9E37_79B9_7F4A_7C15);
    std::iter::repeat_with(move || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 56) as u8
    })
}
