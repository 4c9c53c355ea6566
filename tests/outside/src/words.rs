//! Words as files hold them.

use arbitrary::{Result, Unstructured};

/// Words that name something in the designs and files made here.
const KNOWN: [&str; 16] = [
    "wing",
    "outline",
    "owl",
    "background",
    "direction-mark",
    "leaf",
    "object-1",
    "object-2",
    "ring",
    "a",
    "b",
    "c",
    "Barn owl patch",
    "*",
    "w*g",
    "none",
];

/// Words that break what was not made for them.
const ODD: [&str; 30] = [
    "",
    " ",
    "\u{0}",
    "\u{1b}[31mred\u{1b}[0m",
    "\u{7}",
    "\u{7f}",
    "\u{85}",
    "\u{9b}31m",
    "a\nb",
    "a\r\nb",
    "\t",
    "\u{202e}lwo",
    "\u{2028}",
    "\u{feff}",
    "\u{200b}",
    "e\u{301}",
    "\u{1f989}",
    "\u{10ffff}",
    "ß",
    "İ",
    "../..",
    "/etc/passwd",
    "C:\\owl",
    "\"",
    "'",
    "\\",
    "<owl>&amp;",
    "]]>",
    "%s%n",
    "{{owl}}",
];

/// A word: mostly a known one.
pub fn word(bytes: &mut Unstructured<'_>) -> Result<String> {
    Ok(match bytes.int_in_range(0..=15)? {
        0 => odd(bytes)?,
        1 => format!("{}{}", bytes.choose(&KNOWN)?, odd(bytes)?),
        _ => (*bytes.choose(&KNOWN)?).to_owned(),
    })
}

/// An odd word.
pub fn odd(bytes: &mut Unstructured<'_>) -> Result<String> {
    Ok(match bytes.int_in_range(0..=9)? {
        0 => "long ".repeat(bytes.int_in_range(1..=400)?),
        1 => bytes.arbitrary::<char>()?.to_string(),
        _ => (*bytes.choose(&ODD)?).to_owned(),
    })
}
