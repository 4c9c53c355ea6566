//! Files as a bad copy, a slip or a malicious hand leaves them.

use crate::chance::once_in;
use arbitrary::{Result, Unstructured};

/// The file with up to three places damaged; more often with none.
pub fn seldom(file: Vec<u8>, bytes: &mut Unstructured<'_>) -> Result<Vec<u8>> {
    if !once_in(bytes, 3)? {
        return Ok(file);
    }
    some(file, bytes)
}

/// The file with one to three places damaged.
pub fn some(mut file: Vec<u8>, bytes: &mut Unstructured<'_>) -> Result<Vec<u8>> {
    for _ in 0..bytes.int_in_range(1..=3)? {
        one(&mut file, bytes)?;
    }
    Ok(file)
}

/// Damages one place.
fn one(file: &mut Vec<u8>, bytes: &mut Unstructured<'_>) -> Result<()> {
    if file.is_empty() {
        return Ok(());
    }
    let at = bytes.choose_index(file.len())?;
    let length = bytes.int_in_range(1..=40_usize)?.min(file.len() - at);
    match bytes.int_in_range(0..=5)? {
        0 => file.truncate(at),
        1 => file[at] = bytes.arbitrary()?,
        2 => file[at] ^= 1 << bytes.int_in_range(0..=7)?,
        3 => file.insert(at, bytes.arbitrary()?),
        4 => {
            file.drain(at..at + length);
        }
        _ => {
            let again = file[at..at + length].to_vec();
            file.splice(at..at, again);
        }
    }
    Ok(())
}
