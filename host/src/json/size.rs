//! How much a JSON text holds, before anything is made of it.

/// So many values of a text at most can be pointed at, each by its place. A pipeline has hundreds; a design of a
/// million stitches has two million.
pub const MOST_PLACED: usize = 2_000_000;

/// No fewer values than `text` holds, if it is JSON: an empty list or object counts as two. Looks at each byte once.
pub fn values_in(text: &str) -> usize {
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
}
