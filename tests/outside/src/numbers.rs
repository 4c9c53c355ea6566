//! Numbers as files hold them: usual ones, odd ones, and what only looks like one.

use crate::chance::once_in;
use arbitrary::{Result, Unstructured};

/// Numbers that break what was not made for them.
const ODD: [&str; 34] = [
    "0",
    "-0",
    "-1",
    "1e-3",
    "1e-38",
    "1e-324",
    "1e38",
    "1e39",
    "-1e39",
    "1e308",
    "1e400",
    "-1e400",
    "3.4028235e38",
    "1.7976931348623157e308",
    "2147483647",
    "-2147483648",
    "4294967296",
    "9223372036854775808",
    "18446744073709551616",
    "16777217",
    "0.1",
    "1e-9",
    "1e-7",
    "10000",
    "10000.1",
    "1e5",
    "1e6",
    "1e9",
    "0.30000000000000004",
    "99999",
    "100000",
    "65536",
    "255",
    "256",
];

/// What is no number in JSON, or none anywhere.
const NO_NUMBERS: [&str; 18] = [
    "NaN", "nan", "Infinity", "-inf", "0x10", "0x", "1e", "1e+", ".", "-", "+1", ".5", "5.", "01",
    "1_000", "1,5", "", "\u{661}",
];

/// A number as text: mostly usual, sometimes odd.
pub fn number(bytes: &mut Unstructured<'_>) -> Result<String> {
    Ok(match bytes.int_in_range(0..=23)? {
        0 => (*bytes.choose(&ODD)?).to_owned(),
        1..=8 => bytes.int_in_range(-20..=120)?.to_string(),
        _ => format!("{}", f64::from(bytes.int_in_range(-2000..=12000)?) / 100.0),
    })
}

/// A number as text that may be none.
pub fn number_or_not(bytes: &mut Unstructured<'_>) -> Result<String> {
    if once_in(bytes, 20)? {
        Ok((*bytes.choose(&NO_NUMBERS)?).to_owned())
    } else {
        number(bytes)
    }
}

/// An odd number as text, also one that is none.
pub fn odd(bytes: &mut Unstructured<'_>) -> Result<String> {
    let all = if once_in(bytes, 3)? {
        &NO_NUMBERS[..]
    } else {
        &ODD[..]
    };
    Ok((*bytes.choose(all)?).to_owned())
}

/// A finite number of usual size.
pub fn usual(bytes: &mut Unstructured<'_>) -> Result<f64> {
    Ok(f64::from(bytes.int_in_range(-8000..=12000)?) / 100.0)
}
