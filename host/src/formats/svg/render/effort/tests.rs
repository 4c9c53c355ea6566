use super::*;
use crate::formats::svg::origin;

/// Whether painting a page of 100 x 100 units with these parts, on 1000 x 1000 pixels, is found to end
/// soon, and why not.
fn checked(parts: &str) -> Result<(), String> {
    let text = format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="100" height="100" viewBox="0 0 100 100">{parts}</svg>"#
    );
    let tree = usvg::Tree::from_str(&text, &origin::options()).expect("it is SVG");
    check(tree.root(), Transform::from_scale(10.0, 10.0))
}

const BOX: &str = r#"<path d="M0 0h100v100h-100z" fill="blue"/><path d="M9 9h9v9z"/>"#;

fn blended(count: usize) -> String {
    format!(r#"<g opacity=".5">{BOX}</g>"#).repeat(count)
}

fn refused(parts: &str, why: &str) {
    let told = checked(parts).expect_err("it takes long");
    assert!(told.contains(why), "{told}");
}

#[test]
fn what_drawings_have_is_painted() {
    let clip = r#"<clipPath id="c"><path d="M0 0h50v50z"/></clipPath>"#;
    let pattern = format!(r#"<pattern id="p" width=".1" height=".1"><g>{BOX}</g></pattern>"#);
    let parts = [
        BOX.repeat(1000),
        blended(200),
        format!(
            "{clip}{}",
            format!(r#"<g clip-path="url(#c)">{BOX}</g>"#).repeat(200)
        ),
        format!(
            "{pattern}{}",
            r#"<path d="M0 0h9v9z" fill="url(#p)"/>"#.repeat(200)
        ),
        // A running stitch of 2 mm around the page.
        r#"<path d="M1 1h98v98h-98z" stroke="red" fill="none" stroke-dasharray="1"/>"#.to_owned(),
    ];
    for parts in parts {
        assert_eq!(checked(&parts), Ok(()));
    }
}

/// What a filter takes hangs on numbers of its own: a radius, a matrix, octaves (Filter Effects Module
/// Level 1, section 9).
#[test]
fn no_filter_is_painted() {
    for filter in [
        r#"<feMorphology operator="dilate" radius="50"/>"#,
        r#"<feTurbulence baseFrequency="0.3" numOctaves="10000"/>"#,
        "<feFlood/>",
    ] {
        let filter = format!(r#"<filter id="f">{filter}</filter>"#);
        let filtered = format!(r#"<g filter="url(#f)">{BOX}</g>"#);
        refused(&format!("{filter}{filtered}"), "a filter");
        let within =
            |name: &str| format!(r#"<{name} id="x" width="1" height="1">{filtered}</{name}>"#);
        let mask = format!(r#"{filter}{}<g mask="url(#x)">{BOX}</g>"#, within("mask"));
        refused(&mask, "a filter");
        let pattern = format!(
            r#"{filter}{}<path d="M0 0h9v9z" fill="url(#x)"/>"#,
            within("pattern")
        );
        refused(&pattern, "a filter");
    }
}

#[test]
fn layers_count_wherever_they_are_and_as_often_as_they_are_painted() {
    refused(&blended(501), "500 layers");
    let pattern = |count: usize| {
        format!(
            r#"<pattern id="p" width="1" height="1">{}</pattern>"#,
            blended(count)
        )
    };
    let painted = r#"<path d="M0 0h9v9z" fill="url(#p)"/>"#;
    refused(&format!("{}{painted}", pattern(501)), "500 layers");
    refused(
        &format!("{}{}", pattern(50), painted.repeat(10)),
        "500 layers",
    );
    let mask = format!(
        r#"<mask id="m">{}</mask>{}"#,
        blended(50),
        format!(r#"<g mask="url(#m)">{BOX}</g>"#).repeat(10)
    );
    refused(&mask, "500 layers");
    // Each is clipped by the one before it.
    let chain: String = (1..20)
        .map(|i| {
            format!(
                r#"<clipPath id="c{i}" clip-path="url(#c{})"><path d="M0 0h50v50z"/></clipPath>"#,
                i - 1
            )
        })
        .collect();
    let first = r#"<clipPath id="c0"><path d="M0 0h50v50z"/></clipPath>"#;
    let clipped = format!(r#"{first}{chain}<g clip-path="url(#c19)">{BOX}</g>"#);
    refused(&clipped, "at a time");
}

/// 10^5 units are 10^6 pixels: no memory holds a tile of 10^12.
#[test]
fn a_tile_or_a_group_of_no_memory_s_size_is_not_painted() {
    let tile = r#"<pattern id="p" width="100000" height="100000" patternUnits="userSpaceOnUse"><path d="M0 0h9v9z"/></pattern><path d="M0 0h9v9z" fill="url(#p)"/>"#;
    refused(tile, "at a time");
    let group = r#"<g opacity=".5"><path d="M0 0h9000v9000z"/><path d="M9 9h9v9z"/></g>"#;
    refused(group, "at a time");
}

#[test]
fn shapes_painted_again_and_again_and_dashes_without_end_are_not_painted() {
    let pattern = format!(
        r#"<pattern id="p" width="1" height="1">{}</pattern>{}"#,
        BOX.repeat(100),
        r#"<path d="M0 0h9v9z" fill="url(#p)"/>"#.repeat(400)
    );
    refused(&pattern, "too often");
    let dashed = r#"<path d="M5 5h90" stroke="red" stroke-dasharray="0.0005"/>"#.repeat(3);
    refused(&dashed, "dashes");
}

#[test]
fn a_shape_beyond_all_pixels_is_not_painted() {
    for far in ["9e18", "2e6"] {
        let ellipse = format!(r#"<ellipse cx="0" cy="50" rx="{far}" ry="20"/>"#);
        refused(&ellipse, "too far");
    }
    // A ray of sunshine goes a good way beyond the page.
    assert_eq!(checked(r#"<path d="M50 50L-9999 90L-9999 10z"/>"#), Ok(()));
}
