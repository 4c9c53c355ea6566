//! Names of steps that can be names of crates too.

use crate::diagnostics::Diagnostic;

/// The longest name of a step.
const LONGEST: usize = 64;

/// Names that Rust keeps for itself (the Rust Reference, "Keywords"), that its own crates have, and
/// that the SDK has.
const KEPT: &str = "abstract alloc as async await become box break const continue core crate do dyn \
    else enum extern false final fn for gen if impl in let loop macro match mod move mut override \
    priv proc-macro pub ref return self static std struct super test trait true try type typeof \
    unsafe unsized use virtual where while yield hoopwright hoopwright-sdk hoopwright-geometry";

/// What keeps `name` from being the name of a new step; `taken` are the names of the stock steps.
pub fn problems<'a>(name: &str, taken: impl Iterator<Item = &'a str>) -> Vec<Diagnostic> {
    let wrong = |message: String| Diagnostic::error("step-name", message);
    let letters = |word: &str| {
        let mut letters = word.chars();
        !word.is_empty() && letters.all(|c| c.is_ascii_lowercase() || c.is_ascii_digit())
    };
    let shown = name.escape_debug();
    if !name.split('-').all(letters) || !name.starts_with(|c: char| c.is_ascii_lowercase()) {
        let likely = likely(name);
        let help = if likely.is_empty() {
            "Such as: wing-zigzag.".to_owned()
        } else {
            format!("Such as: {likely}.")
        };
        return vec![
            wrong(format!(
                "\"{shown}\" is not lower-case words joined by hyphens, with a letter first"
            ))
            .help(help),
        ];
    }
    let mut problems = Vec::new();
    if name.len() > LONGEST {
        problems.push(
            wrong(format!(
                "\"{shown}\" is {} letters long; the longest name has {LONGEST}",
                name.len()
            ))
            .help("Name it by what it does, in two or three words."),
        );
    }
    if KEPT.split_whitespace().any(|kept| kept == name) {
        problems.push(
            wrong(format!(
                "\"{shown}\" is a name that Rust or the SDK keeps for itself"
            ))
            .help(format!("Add a word, such as: {name}-step.")),
        );
    }
    let mut taken = taken;
    if taken.any(|stock| stock == name) {
        problems.push(
            wrong(format!("\"{shown}\" is a stock step")).help(
                "Choose a name of its own, so that a pipeline says which of the two it means.",
            ),
        );
    }
    problems
}

/// The name that was likely meant.
fn likely(name: &str) -> String {
    let mut words = Vec::new();
    let mut word = String::new();
    for c in name.chars() {
        if c.is_ascii_uppercase() && word.ends_with(|c: char| c.is_ascii_lowercase()) {
            words.push(std::mem::take(&mut word));
        }
        if c.is_ascii_alphanumeric() {
            word.push(c.to_ascii_lowercase());
        } else {
            words.push(std::mem::take(&mut word));
        }
    }
    words.push(word);
    words.retain(|word| !word.is_empty());
    words
        .join("-")
        .trim_start_matches(|c: char| c.is_ascii_digit() || c == '-')
        .chars()
        .take(LONGEST)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn codes(name: &str) -> usize {
        problems(name, ["align"].into_iter()).len()
    }

    #[test]
    fn names_are_words_joined_by_hyphens() {
        for good in ["wing", "wing-zigzag", "a2-b3"] {
            assert_eq!(codes(good), 0, "{good}");
        }
        for bad in [
            "",
            "Wing",
            "wing_zigzag",
            "2wings",
            "-wing",
            "wing-",
            "wing--x",
            "flügel",
            "../x",
        ] {
            assert_eq!(codes(bad), 1, "{bad}");
        }
        for kept in ["move", "loop", "align", "proc-macro", "hoopwright-sdk"] {
            assert_eq!(codes(kept), 1, "{kept}");
        }
        assert_eq!(codes(&"a".repeat(65)), 1);
    }

    #[test]
    fn the_likely_name_is_told() {
        assert_eq!(likely("WingZigzag"), "wing-zigzag");
        assert_eq!(likely("2 Wings!"), "wings");
        assert_eq!(likely("???"), "");
    }
}
