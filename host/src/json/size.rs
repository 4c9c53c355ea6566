//! How much a JSON text holds, before anything is made of it.

/// So many values of a text at most can be pointed at, each by its place. A pipeline has hundreds; a design of a
/// million stitches has two million.
pub const MOST_PLACED: usize = 2_000_000;

/// Whether `text` may hold more values than `most`, if it is JSON. Looks at each byte once, and at none of a text
/// that is too short for so many.
pub fn holds_more_than(text: &str, most: usize) -> bool {
    // Each value takes a byte, and all but one a comma or a bracket.
    text.len().div_ceil(2) > most && values_in(text) > most
}

/// No fewer values than `text` holds: an empty list or object counts as two.
fn values_in(text: &str) -> usize {
    let mut count = 1;
    let mut in_string = false;
    let mut escaped = false;
    for byte in text.bytes() {
        match byte {
            _ if escaped => escaped = false,
            b'\\' if in_string => escaped = true,
            b'"' => in_string = !in_string,
            b',' | b'[' | b'{' if !in_string => count += 1,
            _ => {}
        }
    }
    count
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_are_counted_and_what_stands_in_strings_is_not() {
        assert_eq!(values_in("1"), 1);
        assert_eq!(values_in("[1, 2, 3]"), 4);
        assert_eq!(values_in(r#"{"a,b": "[\",{", "c": [{}, []]}"#), 7);
        assert_eq!(values_in(""), 1);
    }

    #[test]
    fn a_short_text_is_not_counted_and_never_told_to_hold_too_much() {
        let zeros = |count: usize| format!("[0{}]", ",0".repeat(count - 1));
        assert!(holds_more_than(&zeros(100), 99));
        assert!(holds_more_than(&zeros(100), 100));
        assert!(!holds_more_than(&zeros(100), 101));
        assert!(!holds_more_than("[[[[", 2));
    }
}
