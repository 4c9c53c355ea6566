//! What hangs over the page's edge. The outermost `<svg>` clips to its viewport: SVG 1.1 section 14.3.2,
//! "the initial clipping path", and the W3C's own test masking-path-03-b.

use super::*;
use crate::design::Lines;
use hoopwright_geometry::measure;

/// The only finding: its severity, its code and the object it is about.
fn only_finding(artwork: &Reading) -> (Severity, &str, &str) {
    let [one] = &artwork.findings[..] else {
        panic!("{:?}", artwork.findings);
    };
    (
        one.severity,
        one.code,
        one.object.as_deref().unwrap_or_default(),
    )
}

fn lines(object: &Object) -> &Lines {
    match &object.shape {
        Shape::Lines(lines) => lines,
        _ => panic!("{} is no line", object.id),
    }
}

/// Of a rectangle of 40 x 20 mm that begins 15 mm before the page, 25 x 20 mm are seen.
#[test]
fn a_region_is_cut_at_the_page() {
    let artwork = drawn(r#"<rect x="-15" y="10" width="40" height="20"/>"#);
    let bounds = artwork.design.objects[0].shape_bounds().expect("corners");
    near(bounds.min().x, 0.0, 1e-3);
    near(area(&artwork.design.objects[0]), 500.0, 0.1);
    let expected = (Severity::Warning, "cut-at-page", "rect-1");
    assert_eq!(only_finding(&artwork), expected);
    let told = &artwork.findings[0].message;
    assert!(
        told.contains("by 15 mm") && told.contains("300 mm²"),
        "{told}"
    );
    // A background with bleed on all sides is as large as the page.
    let bleed = drawn(r#"<rect x="-3" y="-3" width="106" height="106"/>"#);
    near(area(&bleed.design.objects[0]), 10_000.0, 1.0);
}

/// Fill and stroke are objects of their own, and each is told once.
#[test]
fn each_object_is_told_once() {
    let artwork = drawn(
        r#"<rect id="a" x="-15" y="10" width="40" height="20" stroke="red" stroke-width="2"/>"#,
    );
    let told: Vec<_> = artwork
        .findings
        .iter()
        .map(|one| one.object.as_deref())
        .collect();
    assert_eq!(told, [Some("a-fill"), Some("a-stroke")]);
}

#[test]
fn rounding_is_left_as_it_is_and_little_is_a_note() {
    let rounded = drawn(
        r#"<rect x="-0.09" y="10" width="20" height="20"/>
        <path d="M-0.09 50H30M99.95 10V40M20 0h30" fill="none" stroke="black" stroke-width="0.1"/>"#,
    );
    assert_eq!(codes(&rounded, Severity::Note), [""; 0]);
    near(area(&rounded.design.objects[0]), 400.0, 0.1);
    near(lines(&rounded.design.objects[1]).paths[0].x[0], -0.09, 1e-4);
    let little = drawn(r#"<rect x="-0.2" y="10" width="10" height="4"/>"#);
    let expected = (Severity::Note, "cut-at-page", "rect-1");
    assert_eq!(only_finding(&little), expected);
    near(area(&little.design.objects[0]), 39.2, 0.01);
}

#[test]
fn a_line_ends_at_the_page() {
    let artwork =
        drawn(r#"<path d="M-15 50H40V120" fill="none" stroke="black" stroke-width="2"/>"#);
    let (width, corners, closed) = line(&artwork.design.objects[0]);
    near(width, 2.0, 1e-5);
    let expected = [(0.0, 50.0), (40.0, 50.0), (40.0, 100.0)];
    for (corner, expected) in corners.iter().zip(expected) {
        near(corner.0, expected.0, 1e-3);
        near(corner.1, expected.1, 1e-3);
    }
    assert_eq!((corners.len(), closed), (3, false));
    let expected = (Severity::Warning, "cut-at-page", "path-1");
    assert_eq!(only_finding(&artwork), expected);
}

/// A circle of radius 20 round a place 10 mm inside the page: two thirds of it are on the page, since
/// acos(10/20) is a sixth of a turn to either side. SVG 2 section 10.3: it is begun at its right, so the
/// two halves meet where nothing was cut, and are one.
#[test]
fn an_outline_that_was_cut_is_one_line() {
    let artwork = drawn(r#"<circle cx="10" cy="50" r="20" fill="none" stroke="black"/>"#);
    let lines = lines(&artwork.design.objects[0]);
    assert_eq!(lines.paths.len(), 1);
    let path = lines.paths[0].to_line_string();
    let length = measure::way_length(&path.0);
    near(length, 2.0 / 3.0 * std::f64::consts::TAU * 20.0, 0.1);
    near(path.0[0].x, 0.0, 1e-3);
    // The other paths of the object stay as they are.
    let both = drawn(r#"<path d="M10 10h20v20z M-5 60H30" fill="none" stroke="black"/>"#);
    let Shape::Lines(both) = &both.design.objects[0].shape else {
        panic!("lines");
    };
    let closed: Vec<bool> = both.paths.iter().map(|path| path.closed).collect();
    assert_eq!(closed, [true, false]);
}

#[test]
fn a_stroke_along_the_edge_stays_whole_and_is_told() {
    let artwork =
        drawn(r#"<rect width="100" height="100" fill="none" stroke="black" stroke-width="3"/>"#);
    let (width, corners, closed) = line(&artwork.design.objects[0]);
    near(width, 3.0, 1e-5);
    assert_eq!((corners.len(), closed), (4, true));
    let expected = (Severity::Warning, "over-the-page", "rect-1");
    assert_eq!(only_finding(&artwork), expected);
    assert!(artwork.findings[0].message.contains("by 1.5 mm"));
    // What begins at the edge, square to it, is on the page.
    let from_the_edge = drawn(r#"<path d="M0 50H60" stroke="black" stroke-width="4"/>"#);
    assert_eq!(codes(&from_the_edge, Severity::Note), [""; 0]);
}

/// A line 2 mm off the page and 6 mm wide shows as a strip of 1 mm, 80 mm long with two segments of its
/// round ends: r² acos(d/r) - d √(r² - d²) with r = 3, d = 2. One of half a mm is too thin to be sewn.
#[test]
fn what_shows_of_a_line_beside_the_page_is_an_area() {
    let artwork = drawn(r#"<path d="M-2 10V90" stroke="black" stroke-width="6"/>"#);
    let ends = 9.0 * (2.0_f64 / 3.0).acos() - 2.0 * 5.0_f64.sqrt();
    near(area(&artwork.design.objects[0]), 80.0 + ends, 0.2);
    assert_eq!(only_finding(&artwork).1, "cut-at-page");
    let thin = drawn(
        r#"<rect width="9" height="9"/><path d="M-0.2 10V90" stroke="black" stroke-width="0.5"/>"#,
    );
    assert_eq!(ids(&thin), ["rect-1"]);
    assert_eq!(codes(&thin, Severity::Note), ["off-page"]);
}

/// A clip path may have taken away what hangs over.
#[test]
fn what_a_clip_path_takes_away_does_not_hang_over() {
    let artwork = drawn(
        r##"<clipPath id="c"><rect width="50" height="50"/></clipPath>
        <rect x="-15" y="10" width="40" height="20" clip-path="url(#c)"/>"##,
    );
    assert_eq!(codes(&artwork, Severity::Note), [""; 0]);
    near(area(&artwork.design.objects[0]), 500.0, 0.1);
}

/// 200,000 corners of a stroke that leaves the page again and again.
#[test]
fn a_long_stroke_over_the_edge_is_read() {
    let mut d = String::from("M-1 0");
    for step in 0..100_000 {
        let y = f64::from(step) * 0.001;
        d += &format!("L9 {y:.3} H-1");
    }
    let artwork = drawn(&format!(r#"<path d="{d}" fill="none" stroke="black"/>"#));
    assert_eq!(codes(&artwork, Severity::Note), ["cut-at-page"]);
}
