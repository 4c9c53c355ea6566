//! Broken, huge and malicious files.

use super::*;
use proptest::prelude::*;

#[test]
fn what_cannot_be_read_says_why() {
    let bomb = r#"<!DOCTYPE svg [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;&a;&a;"><!ENTITY c "&b;&b;&b;&b;&b;&b;&b;&b;&b;&b;"><!ENTITY d "&c;&c;&c;&c;&c;&c;&c;&c;&c;&c;"><!ENTITY e "&d;&d;&d;&d;&d;&d;&d;&d;&d;&d;"><!ENTITY f "&e;&e;&e;&e;&e;&e;&e;&e;&e;&e;">]><svg xmlns="http://www.w3.org/2000/svg"><title>&f;&f;&f;&f;&f;</title></svg>"#;
    for text in [
        "",
        "owl",
        "<svg",
        "<html/>",
        r#"<svg xmlns="http://www.w3.org/2000/svg"/>"#,
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="0" height="0"><rect width="1" height="1"/></svg>"#,
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 -1 nan"><rect width="0" height="1"/></svg>"#,
        bomb,
    ] {
        let codes = try_read(text, Scale::AsDrawn).err();
        assert!(codes.is_some_and(|codes| !codes.is_empty()), "{text}");
    }
}

#[test]
fn giant_arcs_are_refused_and_not_split_for_ever() {
    let with = |d: &str| {
        try_read(
            &page(&format!("<path d='M0 0h9v9z'/><path d='{d}'/>")),
            Scale::AsDrawn,
        )
    };
    for d in [
        "M0 0a3,1e38 28 01 72 14",
        "M1e30 0A1 1 0 0 1 9 9",
        "M0 0a1 1 0 1172e36 1",
    ] {
        assert_eq!(with(d).err(), Some(vec!["arc-too-large".to_owned()]), "{d}");
    }
    assert!(with("M0 0a3,1e6 28 01 72 14").is_ok());
}

#[test]
fn deep_nesting_is_no_fall() {
    let depth = 20_000;
    let deep = format!(
        "{}<rect width='9' height='9'/>{}",
        "<g>".repeat(depth),
        "</g>".repeat(depth)
    );
    // Read or refused, but never a broken stack.
    let _ = try_read(&page(&deep), Scale::AsDrawn);
}

const WHOLE: &str = r##"<svg xmlns="http://www.w3.org/2000/svg" width="30mm" viewBox="0 0 30 30"><style>.a{fill:red}</style><g id="g" transform="rotate(9)"><path class="a" d="M0 0C1 9 9 1 9 9A3 4 0 0 1 2 3z"/><use href="#g"/></g><text>x</text></svg>"##;

/// Elements of all kinds within each other, with sound and unsound values and references to each
/// other in every direction.
fn any_element() -> impl Strategy<Value = String> {
    let tag = prop::sample::select(vec![
        "g",
        "a",
        "svg",
        "symbol",
        "defs",
        "use",
        "switch",
        "path",
        "rect",
        "circle",
        "line",
        "polygon",
        "clipPath",
        "mask",
        "pattern",
        "marker",
        "filter",
        "linearGradient",
        "text",
        "image",
        "style",
    ]);
    let name = prop::sample::select(vec![
        "x",
        "y",
        "width",
        "height",
        "r",
        "d",
        "points",
        "x2",
        "transform",
        "viewBox",
        "fill",
        "stroke",
        "stroke-width",
        "opacity",
        "clip-path",
        "mask",
        "filter",
        "href",
        "style",
        "class",
        "display",
        "clipPathUnits",
        "maskContentUnits",
        "patternUnits",
        "preserveAspectRatio",
        "marker-end",
    ]);
    let value = prop::sample::select(vec![
        "5",
        "0",
        "-3",
        "1e38",
        "1e-38",
        "nan",
        "50%",
        "2em",
        "M0 0h9v9z",
        "M0 0C1 2 3 4 5 6T9 9",
        "0,0 9,9 0,9",
        "scale(1e9)",
        "matrix(0 1 1 0 0 0)",
        "rotate(30)",
        "0 0 9 9",
        "0 0 0 0",
        "url(#a)",
        "url(#b)",
        "url(#c)",
        "#a",
        "#b",
        "#c",
        "red",
        "none",
        "fill:url(#b);opacity:.5",
        "a",
        "objectBoundingBox",
        "userSpaceOnUse",
        "none slice",
        "M",
        "",
    ]);
    let id = prop::sample::select(vec!["a", "b", "c", "d"]);
    let attributes = prop::collection::btree_map(name, value, 0..6);
    let start = (tag, id, attributes).prop_map(|(tag, id, attributes)| {
        let written = attributes
            .iter()
            .map(|(name, value)| format!(" {name}='{value}'"));
        (
            tag,
            format!("<{tag} id='{id}'{}>", written.collect::<String>()),
        )
    });
    let leaf = start
        .clone()
        .prop_map(|(tag, open)| format!("{open}</{tag}>"));
    leaf.prop_recursive(5, 40, 5, move |inner| {
        (start.clone(), prop::collection::vec(inner, 0..5))
            .prop_map(|((tag, open), inner)| format!("{open}{}</{tag}>", inner.concat()))
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn any_tree_is_read_or_refused(elements in prop::collection::vec(any_element(), 1..6)) {
        let seen = r#"<rect width="9" height="9"/>"#;
        match try_read(&page(&(seen.to_owned() + &elements.concat())), Scale::AsDrawn) {
            Ok(artwork) => {
                prop_assert_eq!(crate::design::valid::problems(&artwork.design), [""; 0]);
            }
            // The code of a breakdown inside usvg.
            Err(codes) => prop_assert!(!codes.iter().any(|code| code == "artwork-unreadable")),
        }
    }

    #[test]
    fn cut_and_changed_drawings_never_panic(at in 0..WHOLE.len(), byte in "\\PC", cut in any::<bool>()) {
        let mut text = WHOLE[..at].to_owned();
        text.push_str(&byte);
        if !cut {
            text.push_str(&WHOLE[at..]);
        }
        let codes = try_read(&text, Scale::AsDrawn).err().unwrap_or_default();
        prop_assert!(!codes.iter().any(|code| code == "artwork-unreadable"));
    }

    #[test]
    fn any_path_is_read_or_refused(d in "[MLHVCSQTAZmlhvcsqtaz0-9 .,e-]{0,60}") {
        if let Ok(artwork) = try_read(&page(&format!("<path d='{d}' stroke='red'/>")), Scale::AsDrawn) {
            prop_assert_eq!(crate::design::valid::problems(&artwork.design), [""; 0]);
        }
    }
}

#[test]
fn errors_name_the_line_and_the_column() {
    let failed = read(
        "<svg xmlns='http://www.w3.org/2000/svg'>\n <g>\n </h></svg>",
        Path::new("art.svg"),
        Scale::AsDrawn,
    )
    .expect_err("it is broken");
    let error = &failed.0[0];
    assert_eq!(
        (error.code, error.line, error.column),
        ("not-xml", Some(3), Some(2))
    );
    for scale in [
        Scale::Width(0.0),
        Scale::Height(f64::NAN),
        Scale::Within {
            width: 10.0,
            height: -1.0,
        },
        Scale::Width(f64::INFINITY),
    ] {
        let codes = try_read(&page("<rect width='9' height='9'/>"), scale).err();
        assert_eq!(codes, Some(vec!["bad-scale".to_owned()]));
    }
    let wide = page("<rect width='9' height='9'/>");
    let codes = try_read(&wide, Scale::Width(20_000.0)).err();
    assert_eq!(codes, Some(vec!["page-too-large".to_owned()]));
}

#[test]
fn all_findings_come_with_the_error() {
    let codes = try_read(&page("<text>owl</text><rect width='0'/>"), Scale::AsDrawn).err();
    let expected = ["nothing-painted", "text", "no-size"].map(str::to_owned);
    assert_eq!(codes, Some(expected.to_vec()));
}

/// Each symbol shows the one before it ten times: a billion rectangles in the end.
#[test]
fn a_bomb_of_uses_is_refused() {
    let mut body = String::from(r#"<defs><rect id="u0" width="1" height="1"/>"#);
    for level in 1..10 {
        let uses = format!("<use href=\"#u{}\"/>", level - 1).repeat(10);
        body += &format!(r#"<g id="u{level}">{uses}</g>"#);
    }
    let codes = try_read(
        &page(&(body + r##"</defs><use href="#u9"/>"##)),
        Scale::AsDrawn,
    )
    .err();
    assert_eq!(codes, Some(vec!["artwork-too-deep".to_owned()]));
}

/// Each pattern's tile is painted twice with the pattern before it.
#[test]
fn a_bomb_of_patterns_is_refused() {
    let mut body = String::new();
    for level in 1..40 {
        let inner = format!(
            r##"<rect width="1" height="1" fill="url(#p{0})"/><rect width="1" height="1" stroke="url(#p{0})"/>"##,
            level - 1
        );
        body += &format!(r#"<pattern id="p{level}" width="1" height="1">{inner}</pattern>"#);
    }
    let text = page(
        &(body + r##"<rect width="9" height="9" fill="url(#p39)"/><rect width="9" height="9"/>"##),
    );
    let codes = try_read(&text, Scale::AsDrawn).err();
    assert_eq!(codes, Some(vec!["artwork-too-deep".to_owned()]));
}

#[test]
fn a_path_of_a_million_segments_is_read() {
    let mut d = String::from("M0 0");
    for step in 0..500_000 {
        let x = f64::from(step) * 0.0002;
        d += &format!("L{x:.4} 1V0");
    }
    let artwork = drawn(&format!(r#"<path d="{d}" fill="none" stroke="black"/>"#));
    assert_eq!(artwork.design.objects.len(), 1);
}

/// Random edges across the page, by a linear congruential generator: about 60 million crossings.
#[test]
fn a_scribble_is_left_out() {
    let mut d = String::from("M0 0");
    let mut state: u64 = 1;
    for _ in 0..20_000 {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        d += &format!("L{} {}", (state >> 33) % 100, (state >> 45) % 100);
    }
    let artwork = drawn(&format!(r#"<rect width="9" height="9"/><path d="{d}"/>"#));
    assert_eq!(ids(&artwork), ["rect-1"]);
    assert_eq!(codes(&artwork, Severity::Note), ["too-tangled"]);
}

#[test]
fn numbers_beyond_reason_are_left_out() {
    for d in [
        "M0 0H1e38V1e38z",
        "M0 0h1e39v9z",
        "M0 0C1e30 0 0 1e30 9 9z",
        "M-1e-40 0h1e-40v9z",
        "M0 0A1e8 1e-30 7 1 1 9 9z",
        "M nan 0h9v9z",
    ] {
        let body = format!(r#"<rect width="9" height="9"/><path d="{d}" stroke="red"/>"#);
        let artwork = drawn(&body);
        assert_eq!(
            crate::design::valid::problems(&artwork.design),
            [""; 0],
            "{d}"
        );
    }
    for transform in [
        "scale(1e30)",
        "scale(1e-30)",
        "matrix(1 0 0 0 0 0)",
        "translate(1e38)",
        "rotate(nan)",
        "scale(1e20) scale(1e20) scale(1e20)",
    ] {
        let body = format!(
            r#"<rect width="9" height="9"/><path transform="{transform}" d="M0 0h9v9z" stroke="red"/>"#
        );
        let artwork = drawn(&body);
        assert_eq!(
            crate::design::valid::problems(&artwork.design),
            [""; 0],
            "{transform}"
        );
    }
}

#[test]
fn nothing_is_loaded() {
    // A picture that is there is refused just as one that is not.
    let here = concat!(env!("CARGO_MANIFEST_DIR"), "/Cargo.toml");
    let artwork = drawn(&format!(
        r#"<rect width="9" height="9"/><image href="{here}" width="9" height="9"/>"#
    ));
    assert_eq!(codes(&artwork, Severity::Warning), ["image"]);
    assert_eq!(artwork.design.objects.len(), 1);
}

/// What refers to itself over one, two or three steps, by attribute or by rule.
#[test]
fn circles_of_references_are_refused() {
    let rect = r#"<rect width="9" height="9""#;
    for (tag, property) in [
        ("pattern", "fill"),
        ("pattern", "stroke"),
        ("clipPath", "clip-path"),
        ("mask", "mask"),
    ] {
        for length in 1..5 {
            for by_rule in [false, true] {
                let mut body = String::new();
                for step in 0..length {
                    let next = (step + 1) % length;
                    body += &if by_rule {
                        format!(
                            r##"<style>g .c{step} {{ {property}: url("#s{next}") }}</style><{tag} id="s{step}" width="1" height="1"><g>{rect} class="b c{step}"/></g></{tag}>"##
                        )
                    } else {
                        format!(
                            r##"<{tag} id="s{step}" width="1" height="1">{rect} {property}="url(#s{next})"/></{tag}>"##
                        )
                    };
                }
                body += &format!(r##"{rect} {property}="url(#s0)"/>"##);
                let codes = try_read(&page(&body), Scale::AsDrawn).err();
                let expected = Some(vec!["endless-reference".to_owned()]);
                assert_eq!(codes, expected, "{tag} {property} {length} {by_rule}");
            }
        }
    }
}

/// `use` elements in a circle: left out, or refused, but never followed for ever.
#[test]
fn circles_of_uses_end() {
    for length in 1..5 {
        let mut body = String::from(r#"<rect width="9" height="9"/>"#);
        for step in 0..length {
            let next = (step + 1) % length;
            body += &format!(r##"<g id="g{step}"><use href="#g{next}"/></g>"##);
        }
        let _ = try_read(&page(&body), Scale::AsDrawn);
    }
}

/// 1 MB of paths that are not shown took 43 s, since each asked the whole drawing for a style sheet: a second here.
#[test]
fn broken_paths_do_not_ask_the_whole_drawing_each() {
    let broken = r#"<path d="M"/>"#.repeat(80_000);
    let artwork = drawn(&format!(r#"<rect width="9" height="9"/>{broken}"#));
    assert_eq!(artwork.findings.len(), 21);
}

/// 10,000 rules for 10,000 elements that none of them is about: 10^8 times nothing.
#[test]
fn rules_without_end_are_refused_and_many_are_not() {
    let drawing = |rules: usize, elements: usize| {
        let rules: String = (0..rules)
            .map(|i| format!(".a{i}{{fill:#123456}}"))
            .collect();
        let elements = r#"<path class="b" d="M1 1h2v2z"/>"#.repeat(elements);
        format!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm"><style>{rules}</style>{elements}</svg>"#
        )
    };
    let codes = try_read(&drawing(10_000, 10_000), Scale::AsDrawn).err();
    assert_eq!(codes, Some(vec!["too-many-rules".to_owned()]));
    assert!(try_read(&drawing(500, 100), Scale::AsDrawn).is_ok());
}

/// usvg counts lines up to each declaration: 0.9 MB of them in one rule or one style took minutes. And it keeps a
/// rule's declarations for each of its selectors: 10^4 times 10^4.
#[test]
fn styles_without_end_are_refused() {
    let many = "fill:red;".repeat(100_000);
    let list = format!(".a{}", ",.a".repeat(10_000));
    let body = "fill:red;".repeat(10_000);
    for text in [
        format!("<style>.a{{{many}}}</style><path d='M1 1h2v2z'/>"),
        format!("<path d='M1 1h2v2z' style='{many}'/>"),
        format!("<style>{list}{{{body}}}</style><path d='M1 1h2v2z'/>"),
    ] {
        let codes = try_read(&page(&text), Scale::AsDrawn).err();
        assert_eq!(codes, Some(vec!["too-many-rules".to_owned()]));
    }
}

/// References are followed to the last element that has the id, as usvg does.
#[test]
fn circles_behind_a_repeated_id_are_refused() {
    let body = r##"<pattern id="a" width="1" height="1"/><pattern id="b" width="1" height="1"><rect width="1" height="1" fill="url(#c)"/></pattern><pattern id="c" width="1" height="1"><rect width="1" height="1" fill="url(#a)"/></pattern><pattern id="a" width="1" height="1"><rect width="1" height="1" fill="url(#b)"/></pattern><rect width="9" height="9" fill="url(#a)"/>"##;
    let codes = try_read(&page(body), Scale::AsDrawn).err();
    assert_eq!(codes, Some(vec!["endless-reference".to_owned()]));
}
