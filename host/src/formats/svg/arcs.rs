//! Arcs so large that turning them into curves would not end.
//!
//! usvg splits an arc into more curves the larger its radii are, which grow with the way from its start
//! to its end (SVG 2 section 9.5.1): of 10^30 units it takes half a minute. No page is near so large.

use super::source::{Source, spoken};
use crate::diagnostics::Diagnostic;

/// The largest number that may stand in a path with arcs, in the path's own units. An arc of that size
/// is split into some fifty curves.
pub(super) const LARGEST: f64 = 1e9;

/// Refuses artwork with a larger one.
pub(super) fn check(source: &Source<'_>) -> Result<(), Diagnostic> {
    for node in source.xml.descendants() {
        let Some(data) = node.attribute("d") else {
            continue;
        };
        let large = |number: &f64| number.abs() > LARGEST;
        if data.contains(['a', 'A'])
            && let Some(number) = numbers(data).find(large)
        {
            let message = format!("{} has arcs, and the number {number:e}", spoken(node));
            let error = Diagnostic::error("arc-too-large", message);
            return Err(source
                .place(error, node)
                .help("take the path out, or draw it anew: it reaches far beyond any page"));
        }
    }
    Ok(())
}

/// The numbers in path data. Flags of an arc that stand without spaces are taken together with what
/// follows, which makes them no smaller.
pub(super) fn numbers(data: &str) -> impl Iterator<Item = f64> {
    let mut rest = data;
    std::iter::from_fn(move || {
        loop {
            rest = rest.get(rest.find(|c: char| c.is_ascii_digit() || c == '.')?..)?;
            let (number, after) = rest.split_at(length(rest.as_bytes()));
            rest = after;
            if let Ok(number) = number.parse() {
                return Some(number);
            }
        }
    })
}

/// How many bytes of the text, which begins with a digit or a point, are one number without a sign.
fn length(text: &[u8]) -> usize {
    let digits = |from: usize| {
        let more = text.get(from..).unwrap_or_default();
        from + more.iter().take_while(|byte| byte.is_ascii_digit()).count()
    };
    let mut end = digits(0);
    if text.get(end) == Some(&b'.') {
        end = digits(end + 1);
    }
    if matches!(text.get(end), Some(b'e' | b'E')) {
        let sign = usize::from(matches!(text.get(end + 1), Some(b'+' | b'-')));
        let power = digits(end + 1 + sign);
        if power > end + 1 + sign {
            end = power;
        }
    }
    end
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_found_however_they_are_written() {
        let all = |data: &str| numbers(data).collect::<Vec<_>>();
        assert_eq!(all("M1-2.5.5,3e2L4e"), [1.0, 2.5, 0.5, 300.0, 4.0]);
        assert_eq!(
            all("a1e38 1E+2 0 01-1e-3 7"),
            [1e38, 100.0, 0.0, 1.0, 1e-3, 7.0]
        );
        assert_eq!(all(". é M"), [0.0; 0]);
        assert_eq!(all(&"9".repeat(400)), [f64::INFINITY]);
    }
}
