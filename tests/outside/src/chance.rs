//! Chances.

use arbitrary::{Result, Unstructured};

/// Yes once in `many` times; no where the bytes have ended.
pub fn once_in(bytes: &mut Unstructured<'_>, many: u8) -> Result<bool> {
    Ok(bytes.int_in_range(1..=many)? == many && many > 1)
}
