//! Shapes, units, transforms, strokes and clips.

use super::*;

/// The area of a circle is pi r², of an ellipse pi a b, of a square with rounded corners
/// s² - (4 - pi) r²: closed forms. Under a parabola with feet 2 w apart and height h lies 4/3 w h
/// (Archimedes); a quadratic curve's control point stands at 2 h.
#[test]
fn curves_are_flattened_closely() {
    let pi = std::f64::consts::PI;
    for (body, expected) in [
        (r#"<circle cx="50" cy="50" r="10"/>"#, pi * 100.0),
        (
            r#"<path d="M40 50a10 10 0 0 1 20 0a10 10 0 1 1 -20 0z"/>"#,
            pi * 100.0,
        ),
        (
            r#"<g transform="scale(100)"><circle cx=".5" cy=".5" r=".1"/></g>"#,
            pi * 100.0,
        ),
        (r#"<ellipse cx="50" cy="50" rx="20" ry="5"/>"#, pi * 100.0),
        (
            r#"<rect x="20" y="20" width="40" height="40" rx="10"/>"#,
            1600.0 - (4.0 - pi) * 100.0,
        ),
        (
            r#"<path d="M10 50 Q30 10 50 50z"/>"#,
            4.0 / 3.0 * 20.0 * 20.0,
        ),
    ] {
        let artwork = drawn(body);
        near(
            area(&artwork.design.objects[0]),
            expected,
            expected / 1000.0,
        );
    }
}

/// Every corner of a flattened circle lies on it, and no edge strays from it by more than the
/// flatness. usvg's own four arcs may err by 0.03 % of the radius.
#[test]
fn a_flattened_circle_keeps_to_the_circle() {
    let artwork = drawn(r#"<circle cx="50" cy="50" r="40"/>"#);
    let Shape::Region(region) = &artwork.design.objects[0].shape else {
        panic!("a region");
    };
    let ring = region.polygons[0].outer.to_line_string();
    for edge in ring.lines() {
        let middle = (edge.start + edge.end) / 2.0;
        for place in [edge.start, middle] {
            let radius = ((place.x - 50.0).powi(2) + (place.y - 50.0).powi(2)).sqrt();
            near(radius, 40.0, 0.02);
        }
    }
}

#[test]
fn transforms_of_groups_add_up() {
    let artwork = drawn(
        r#"<g transform="translate(10 20)"><g transform="scale(2)"><rect x="1" y="2" width="3" height="4"/></g></g>"#,
    );
    let bounds = artwork.design.objects[0]
        .shape_bounds()
        .expect("it has corners");
    near(bounds.min().x, 12.0, 1e-3);
    near(bounds.min().y, 24.0, 1e-3);
    near(bounds.width(), 6.0, 1e-3);
    near(bounds.height(), 8.0, 1e-3);
}

/// SVG 2 section 13.4.2: the same two squares turning the same way enclose a hole by one rule only.
#[test]
fn fill_rules_differ_in_holes() {
    let squares = r#"d="M0 0h10v10h-10z M2 2h6v6h-6z""#;
    for (rule, expected) in [("nonzero", 100.0), ("evenodd", 64.0)] {
        let artwork = drawn(&format!(r#"<path fill-rule="{rule}" {squares}/>"#));
        near(area(&artwork.design.objects[0]), expected, 1e-3);
    }
}

/// CSS Values 4 section 6.2: 1 in = 25.4 mm = 96 px.
#[test]
fn units_become_millimetres() {
    for (width, mm) in [
        ("1in", 25.4),
        ("2cm", 20.0),
        ("7mm", 7.0),
        ("96px", 25.4),
        ("96", 25.4),
    ] {
        let text = format!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" width="{width}" height="{width}" viewBox="0 0 1 1"><rect width="1" height="1"/></svg>"#
        );
        let artwork = try_read(&text, Scale::AsDrawn).expect("it can be read");
        near(artwork.design.page.greatest.x, mm, 1e-3);
        near(area(&artwork.design.objects[0]), mm * mm, 0.01);
    }
}

#[test]
fn a_pipeline_sets_the_size() {
    let text = page(r#"<rect x="10" y="10" width="50" height="20"/>"#);
    for (scale, width) in [
        (Scale::Width(40.0), 20.0),
        (Scale::Height(50.0), 25.0),
        (
            Scale::Within {
                width: 200.0,
                height: 30.0,
            },
            15.0,
        ),
    ] {
        let artwork = try_read(&text, scale).expect("it can be read");
        let bounds = artwork.design.objects[0]
            .shape_bounds()
            .expect("it has corners");
        near(bounds.width(), width, 1e-3);
    }
}

/// The widths and heights that come are the sizes asked for, whatever room the page leaves around the drawing.
#[test]
fn a_pipeline_sets_the_size_of_the_drawing() {
    let box_of = |body: &str, asked| {
        let (read, scale) =
            read_drawing(&page(body), Path::new("art.svg"), asked).expect("it can be read");
        let around = read.design.shape_bounds().expect("it has corners");
        let again = try_read(&page(body), scale).expect("it can be read");
        assert_eq!(
            again.design, read.design,
            "whoever paints it gets the same size"
        );
        assert!(!codes(&read, Severity::Warning).contains(&"small-on-page"));
        (around.width(), around.height())
    };
    let small = r#"<rect x="80" y="20" width="2" height="1"/>"#;
    let within = Scale::Within {
        width: 200.0,
        height: 30.0,
    };
    for (asked, width, height) in [
        (Scale::Width(40.0), 40.0, 20.0),
        (Scale::Height(50.0), 100.0, 50.0),
        (within, 60.0, 30.0),
    ] {
        let (wide, high) = box_of(small, asked);
        near(wide, width, 1e-3);
        near(high, height, 1e-3);
    }
    // A curve, flattened finer the larger it is; a stroke, whose width grows too; what the page's edge cuts off.
    let disc = r#"<circle cx="20" cy="20" r="3" fill="none" stroke="red" stroke-width="2"/>"#;
    near(box_of(disc, Scale::Width(90.0)).0, 90.0, 0.02);
    let cut = r#"<rect x="-50" y="20" width="70" height="10"/>"#;
    near(box_of(cut, Scale::Width(90.0)).0, 90.0, 0.001);
    let speck = page(r#"<rect x="80" y="20" width="0.1" height="0.1"/>"#);
    let refused = read_drawing(&speck, Path::new("owl.svg"), Scale::Width(1000.0));
    assert_eq!(refused.expect_err("too large").0[0].code, "page-too-large");
}

/// A customer's logo on a sheet of paper: what is asked for is the size of the sheet.
#[test]
fn a_drawing_that_is_lost_on_its_page_is_told() {
    let codes_at = |scale, body: &str| {
        let artwork = try_read(&page(body), scale).expect("it can be read");
        codes(&artwork, Severity::Warning).join(" ")
    };
    let small = r#"<rect x="20" y="20" width="45" height="30"/>"#;
    assert_eq!(codes_at(Scale::Width(50.0), small), "small-on-page");
    assert_eq!(codes_at(Scale::AsDrawn, small), "");
    let wide = r#"<rect x="20" y="20" width="55" height="3"/>"#;
    assert_eq!(codes_at(Scale::Width(50.0), wide), "");
}

#[test]
fn paper_beneath_the_drawing_is_told() {
    let on = |paper: &str| {
        let artwork = drawn(&format!(r#"{paper}<circle cx="50" cy="50" r="20"/>"#));
        let told = artwork.findings.iter().map(|one| (one.severity, one.code));
        told.collect::<Vec<_>>()
    };
    let paper = |fill: &str| format!(r#"<rect width="100" height="100" fill="{fill}"/>"#);
    let told = "covers-the-page";
    assert_eq!(on(&paper("white")), [(Severity::Warning, told)]);
    assert_eq!(on(&paper("teal")), [(Severity::Note, told)]);
    assert_eq!(on(r#"<rect width="90" height="90" fill="white"/>"#), []);
    // A sheet of one colour and nothing else is what is to be sewn.
    let alone = drawn(&paper("white"));
    assert_eq!(codes(&alone, Severity::Note), [""; 0]);
}

#[test]
fn strokes_stay_lines_with_a_width() {
    let artwork = drawn(
        r#"<g transform="scale(2)"><path d="M1 1h10v5" fill="none" stroke="black" stroke-width="0.4"/></g>
        <path d="M50 50h10v10z" fill="none" stroke="black"/>"#,
    );
    let (width, corners, closed) = line(&artwork.design.objects[0]);
    near(width, 0.8, 1e-6);
    for (corner, expected) in corners.iter().zip([(2.0, 2.0), (22.0, 2.0), (22.0, 12.0)]) {
        near(corner.0, expected.0, 1e-5);
        near(corner.1, expected.1, 1e-5);
    }
    assert_eq!(corners.len(), 3);
    assert!(!closed);
    let (_, corners, closed) = line(&artwork.design.objects[1]);
    assert_eq!((corners.len(), closed), (3, true));
}

#[test]
fn a_plain_clip_cuts_what_it_covers() {
    let artwork = drawn(
        r##"<clipPath id="left"><rect width="10" height="100"/></clipPath>
        <rect x="5" y="5" width="20" height="20" clip-path="url(#left)"/>"##,
    );
    near(area(&artwork.design.objects[0]), 100.0, 0.01);
}

/// SVG 2 section 8.6: a page of 100 x 50 mm onto a box of 10 x 10 scales by 5 and centres it;
/// `none` stretches it; `xMinYMin slice` scales by 10, and half of it hangs over the page and is cut.
#[test]
fn the_view_box_is_fitted_into_the_page() {
    for (aspect, least, greatest) in [
        ("xMidYMid meet", (25.0, 0.0), (75.0, 50.0)),
        ("none", (0.0, 0.0), (100.0, 50.0)),
        ("xMinYMin slice", (0.0, 0.0), (100.0, 50.0)),
        ("xMaxYMid meet", (50.0, 0.0), (100.0, 50.0)),
    ] {
        let text = format!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="50mm" viewBox="-5 -5 10 10" preserveAspectRatio="{aspect}"><rect x="-5" y="-5" width="10" height="10"/></svg>"#
        );
        let artwork = try_read(&text, Scale::AsDrawn).expect("it can be read");
        let bounds = artwork.design.objects[0].shape_bounds().expect("corners");
        near(bounds.min().x, least.0, 1e-3);
        near(bounds.min().y, least.1, 1e-3);
        near(bounds.max().x, greatest.0, 1e-3);
        near(bounds.max().y, greatest.1, 1e-3);
    }
}

#[test]
fn every_basic_shape_is_read() {
    let artwork = drawn(
        r#"<g stroke="black" transform="translate(20 20)"><rect width="5" height="5" fill="none"/><circle r="5" fill="none"/>
        <ellipse rx="5" ry="3" fill="none"/><line x2="5" y2="5"/>
        <polyline points="0,0 5,5 9,0" fill="none"/><polygon points="0,0 5,5 9,0" fill="none"/>
        <path d="M0 0L9 9" fill="none"/></g>"#,
    );
    assert_eq!(
        ids(&artwork),
        [
            "rect-1",
            "circle-1",
            "ellipse-1",
            "line-1",
            "polyline-1",
            "polygon-1",
            "path-1"
        ]
    );
    let closed: Vec<bool> = artwork.design.objects.iter().map(|o| line(o).2).collect();
    assert_eq!(closed, [true, true, true, false, false, true, false]);
    assert_eq!(codes(&artwork, Severity::Note), [""; 0]);
}

/// A stroke scaled by 2 and 8 is as wide as their geometric mean, 4, says.
#[test]
fn a_stretched_stroke_has_its_mean_width() {
    let artwork = drawn(
        r#"<path transform="scale(2 8)" d="M1 1h10" fill="none" stroke="black" stroke-width="0.5"/>"#,
    );
    near(line(&artwork.design.objects[0]).0, 2.0, 1e-5);
    assert_eq!(codes(&artwork, Severity::Note), ["uneven-stroke"]);
    let turned = drawn(
        r#"<path transform="rotate(30) scale(2 -2)" d="M30 -9h10" fill="none" stroke="black"/>"#,
    );
    near(line(&turned.design.objects[0]).0, 2.0, 1e-5);
    assert_eq!(codes(&turned, Severity::Note), [""; 0]);
}

#[test]
fn subpaths_are_lines_of_their_own_and_points_are_none() {
    let artwork = drawn(
        r#"<path d="M0 10h10M0 20h10v10zM50 50M60 60h0M5 5l9 0l0 9l-9 -9" fill="none" stroke="black"/>"#,
    );
    let Shape::Lines(lines) = &artwork.design.objects[0].shape else {
        panic!("lines");
    };
    let closed: Vec<(usize, bool)> = lines.paths.iter().map(|p| (p.x.len(), p.closed)).collect();
    assert_eq!(closed, [(2, false), (3, true), (3, true)]);
}

/// After a close, a path goes on from where the closed subpath began (SVG 2 section 9.3.4).
#[test]
fn a_path_goes_on_after_a_close() {
    let artwork = drawn(r#"<path d="M10 10h10v10zh-5" fill="none" stroke="black"/>"#);
    let Shape::Lines(lines) = &artwork.design.objects[0].shape else {
        panic!("lines");
    };
    let second: Vec<_> = lines.paths[1].corners().collect();
    near(second[0].x, 10.0, 1e-5);
    near(second[1].x, 5.0, 1e-5);
}

/// SVG 2 section 13.5.4: a subpath without length shows as its round cap, a disc.
#[test]
fn a_round_dot_is_a_disc() {
    let artwork = drawn(
        r#"<path d="M20 20h0" fill="none" stroke="black" stroke-width="4" stroke-linecap="round"/>"#,
    );
    near(
        area(&artwork.design.objects[0]),
        std::f64::consts::PI * 4.0,
        0.15,
    );
}

/// SVG 2 section 13.5.4: round caps are half discs of the stroke's width. A stroke that is no longer than
/// wide is the pill that it paints: its length times its width, and a disc.
#[test]
fn a_short_round_stroke_is_a_pill() {
    let stroked = |d: &str, cap: &str| {
        drawn(&format!(
            r#"<path d="{d}" fill="none" stroke="black" stroke-width="7" stroke-linecap="{cap}"/>"#
        ))
    };
    let disc = std::f64::consts::PI * 3.5 * 3.5;
    for (d, size) in [
        ("M20 20v6", 42.0 + disc),
        ("M20 20h.01", disc),
        ("M20 20h2M40 20h0M60 20v3", 14.0 + 21.0 + 3.0 * disc),
    ] {
        near(area(&stroked(d, "round").design.objects[0]), size, 0.2);
    }
    assert_eq!(line(&stroked("M20 20v6", "butt").design.objects[0]).0, 7.0);
    assert_eq!(line(&stroked("M20 20v8", "round").design.objects[0]).0, 7.0);
}

/// A longer one is a line whose area at each end is that of the half disc, less the half of the thread, 0.2 mm,
/// that lies beyond the last needle point. A fine one is no longer than drawn.
#[test]
fn round_ends_make_a_line_longer() {
    let ends = |width: f64, d: &str| {
        let artwork = drawn(&format!(
            r#"<path d="{d}" fill="none" stroke="black" stroke-width="{width}" stroke-linecap="round"/>"#
        ));
        let (_, corners, _) = line(&artwork.design.objects[0]);
        (corners[0].0, corners[1].0)
    };
    let longer = std::f64::consts::PI / 8.0 * 2.0 - 0.2;
    let (begin, end) = ends(2.0, "M20 20h30");
    near(begin, 20.0 - longer, 1e-4);
    near(end, 50.0 + longer, 1e-4);
    for (width, d) in [(0.5, "M20 20h30"), (2.0, "M20 20h30v5z")] {
        near(ends(width, d).0, 20.0, 1e-4);
        near(ends(width, d).1, 50.0, 1e-4);
    }
}

#[test]
fn clips_cut_strokes_short_or_into_areas() {
    let clip = r#"<clipPath id="c"><rect x="10" y="10" width="20" height="20"/></clipPath>"#;
    let stroked = |d: &str| {
        drawn(&format!(
            r##"{clip}<g clip-path="url(#c)"><path d="{d}" fill="none" stroke="black" stroke-width="2"/></g>"##
        ))
    };
    let inside = stroked("M12 12h10");
    near(line(&inside.design.objects[0]).1[1].0, 22.0, 1e-4);
    let cut_short = stroked("M15 20h95");
    let (width, corners, _) = line(&cut_short.design.objects[0]);
    near(width, 2.0, 1e-5);
    near(corners[1].0, 30.0, 1e-3);
    // Half of a stroke along the edge: 18 x 1 mm and two quarters of its round ends.
    let half = stroked("M11 10h18");
    near(
        area(&half.design.objects[0]),
        18.0 + std::f64::consts::PI / 2.0,
        0.02,
    );
    assert_eq!(codes(&half, Severity::Note), ["cut-stroke"]);
    assert_eq!(half.findings[0].object.as_deref(), Some("path-1"));
}

#[test]
fn clip_paths_nest_and_take_their_rule_and_transform() {
    let artwork = drawn(
        r##"<clipPath id="outer"><rect width="15" height="100"/></clipPath>
        <clipPath id="inner" clip-path="url(#outer)" transform="translate(10 10)">
        <path clip-rule="evenodd" d="M0 0h10v10h-10z M2 2h6v6h-6z"/></clipPath>
        <g transform="scale(2)"><rect width="50" height="50" clip-path="url(#inner)"/></g>"##,
    );
    // Of the ring from 10 to 20, what lies left of 15: 5 x 10 less 3 x 6; twice as large each way.
    near(area(&artwork.design.objects[0]), 4.0 * 32.0, 0.01);
    let box_units = drawn(
        r##"<clipPath id="half" clipPathUnits="objectBoundingBox"><rect width="0.5" height="1"/></clipPath>
        <rect x="20" y="20" width="20" height="10" clip-path="url(#half)"/>"##,
    );
    near(area(&box_units.design.objects[0]), 100.0, 0.01);
}

/// An inner `<svg>` is a viewport that scales and cuts (SVG 2 sections 8.2 and 3.8).
#[test]
fn an_inner_svg_scales_and_cuts() {
    let artwork = drawn(
        r#"<svg x="10" y="10" width="20" height="20" viewBox="0 0 10 10"><rect x="5" y="5" width="10" height="10"/></svg>"#,
    );
    let bounds = artwork.design.objects[0].shape_bounds().expect("corners");
    near(bounds.min().x, 20.0, 1e-3);
    near(bounds.max().x, 30.0, 1e-3);
}

#[test]
fn what_lies_off_the_page_is_left_out() {
    let artwork = drawn(
        r#"<rect id="off" x="120" width="9" height="9"/><rect width="9" height="9"/>
        <path id="beside" d="M-3 0v50" stroke="black" stroke-width="2" fill="none"/>
        <path id="round-a-corner" d="M-5 -5H150V-2H-2V150H-5z"/>"#,
    );
    assert_eq!(ids(&artwork), ["rect-2"]);
    assert_eq!(codes(&artwork, Severity::Note), ["off-page"; 3]);
}

#[test]
fn what_is_far_too_large_is_cut_at_the_page_or_left_out() {
    let artwork = drawn(
        r#"<rect id="sky" x="-20000" y="-20000" width="40000" height="20050"/>
        <path id="road" d="M-30000 5H30000" stroke="black" fill="none"/>
        <rect id="all" x="-3e8" y="-3e8" width="6e8" height="6e8"/>"#,
    );
    assert_eq!(ids(&artwork), ["sky", "road"]);
    near(area(&artwork.design.objects[0]), 5000.0, 1.0);
    assert_eq!(
        codes(&artwork, Severity::Warning),
        ["cut-at-page", "cut-at-page", "too-far"]
    );
    assert_eq!(crate::design::valid::problems(&artwork.design), [""; 0]);
}
