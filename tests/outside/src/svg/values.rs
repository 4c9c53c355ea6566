//! Values of attributes.

use crate::chance::once_in;
use crate::{numbers, words};
use arbitrary::{Result, Unstructured};

/// The ids that elements have and refer to.
const IDS: [&str; 6] = ["a", "b", "c", "d", "wing", "owl"];

const PAINTS: [&str; 16] = [
    "none",
    "red",
    "#5a4632",
    "#abc",
    "rgb(20,30,40)",
    "rgba(1,2,3,.5)",
    "currentColor",
    "inherit",
    "url(#a)",
    "url(#b) blue",
    "url(#c)",
    "context-fill",
    "hsl(20 30% 40%)",
    "transparent",
    "#12345678",
    "RED",
];

pub fn id(bytes: &mut Unstructured<'_>) -> Result<String> {
    if once_in(bytes, 12)? {
        return words::word(bytes);
    }
    Ok((*bytes.choose(&IDS)?).to_owned())
}

pub fn reference(bytes: &mut Unstructured<'_>) -> Result<String> {
    Ok(match bytes.int_in_range(0..=15)? {
        0 => (*bytes.choose(&[
            "",
            "#",
            "owl.svg#a",
            "http://localhost/owl.svg#a",
            "data:,x",
        ])?)
        .to_owned(),
        _ => format!("#{}", id(bytes)?),
    })
}

pub fn link(bytes: &mut Unstructured<'_>) -> Result<String> {
    Ok(format!("url({})", reference(bytes)?))
}

pub fn paint(bytes: &mut Unstructured<'_>) -> Result<String> {
    Ok((*bytes.choose(&PAINTS)?).to_owned())
}

/// A length with or without a unit.
pub fn length(bytes: &mut Unstructured<'_>) -> Result<String> {
    const UNITS: [&str; 12] = [
        "", "", "", "", "mm", "cm", "px", "pt", "%", "em", "in", "vh",
    ];
    let number = numbers::number_or_not(bytes)?;
    Ok(format!("{number}{}", bytes.choose(&UNITS)?))
}

/// Numbers in a row, parted as files part them.
fn numbers(bytes: &mut Unstructured<'_>, count: usize) -> Result<String> {
    let mut text = String::new();
    for i in 0..count {
        if i > 0 {
            text.push_str(bytes.choose(&[" ", ",", ", ", "  ", "\n"])?);
        }
        text.push_str(&numbers::number_or_not(bytes)?);
    }
    Ok(text)
}

pub fn view_box(bytes: &mut Unstructured<'_>) -> Result<String> {
    if once_in(bytes, 3)? {
        numbers(bytes, 4)
    } else {
        Ok((*bytes.choose(&[
            "0 0 100 100",
            "0 0 30 30",
            "-5 -5 10 10",
            "0 0 0 10",
            "0 0 1e9 1",
        ])?)
        .to_owned())
    }
}

pub fn transform(bytes: &mut Unstructured<'_>) -> Result<String> {
    let mut all = Vec::new();
    for _ in 0..bytes.int_in_range(1..=3)? {
        let (name, counts): (&str, &[usize]) = *bytes.choose(&[
            ("translate", &[1, 2][..]),
            ("scale", &[1, 2]),
            ("rotate", &[1, 3]),
            ("skewX", &[1]),
            ("skewY", &[1]),
            ("matrix", &[6, 6, 6, 5]),
        ])?;
        let count = *bytes.choose(counts)?;
        all.push(format!("{name}({})", numbers(bytes, count)?));
    }
    Ok(all.join(" "))
}

/// Path data: mostly sound, of all commands.
pub fn path(bytes: &mut Unstructured<'_>) -> Result<String> {
    const COMMANDS: [(char, usize); 10] = [
        ('M', 2),
        ('L', 2),
        ('H', 1),
        ('V', 1),
        ('C', 6),
        ('S', 4),
        ('Q', 4),
        ('T', 2),
        ('A', 7),
        ('Z', 0),
    ];
    let mut text = format!("M{}", numbers(bytes, 2)?);
    for _ in 0..bytes.int_in_range(0..=12)? {
        let (letter, count) = *bytes.choose(&COMMANDS)?;
        let letter = if bytes.arbitrary()? {
            letter
        } else {
            letter.to_ascii_lowercase()
        };
        text.push(letter);
        if letter.eq_ignore_ascii_case(&'a') {
            let [large, sweep] = [bytes.arbitrary::<bool>()?, bytes.arbitrary()?].map(u8::from);
            text += &format!(
                "{} {large}{sweep} {}",
                numbers(bytes, 3)?,
                numbers(bytes, 2)?
            );
        } else {
            let more = if once_in(bytes, 8)? { 2 } else { 1 };
            text += &numbers(bytes, count * more)?;
        }
    }
    Ok(text)
}

pub fn points(bytes: &mut Unstructured<'_>) -> Result<String> {
    let count = bytes.int_in_range(0..=12)?;
    numbers(bytes, count)
}

/// One of the words that such attributes have, or a number.
pub fn choice(bytes: &mut Unstructured<'_>, among: &[&str]) -> Result<String> {
    if once_in(bytes, 16)? {
        return numbers::number_or_not(bytes);
    }
    Ok((*bytes.choose(among)?).to_owned())
}

/// What shows in an attribute or between elements.
pub fn escaped(text: &str) -> String {
    let odd = |c: char| c.is_control() && !matches!(c, '\t' | '\n' | '\r');
    text.chars()
        .map(|c| match c {
            '&' => "&amp;".to_owned(),
            '<' => "&lt;".to_owned(),
            '>' => "&gt;".to_owned(),
            '"' => "&quot;".to_owned(),
            // By its number, which XML allows for some of them.
            c if odd(c) => format!("&#{};", c as u32),
            c => c.to_string(),
        })
        .collect()
}
