//! What browsers show otherwise than it is read is made right or told. What they show was looked at in one, with
//! the specification named.

use super::*;

/// The codes of the warnings about this.
fn warned(body: &str) -> Vec<String> {
    let artwork = drawn(&format!("<circle cx=\"50\" cy=\"50\" r=\"9\"/>{body}"));
    codes(&artwork, Severity::Warning)
        .into_iter()
        .map(str::to_owned)
        .collect()
}

fn only(code: &str, body: &str) {
    assert_eq!(warned(body), [code], "{body}");
}

fn none(body: &str) {
    assert_eq!(warned(body), [""; 0], "{body}");
}

/// CSS Color 4: the first two are colours, and `unset` is another's; the others are none. usvg's reader knows none of
/// them, or takes them for others.
#[test]
fn a_colour_that_is_not_read_is_told() {
    let unknown = [
        "rgb(255 0 0 / 100%)",
        "rebeccapurple",
        "rgb(100%,50,0)",
        "unset",
        "rgb(1,2)",
        "#12345",
    ];
    for colour in unknown {
        only(
            "unknown-colour",
            &format!(r#"<rect x="9" y="9" width="9" height="9" fill="{colour}"/>"#),
        );
        only(
            "unknown-colour",
            &format!(r#"<rect x="9" y="9" width="9" height="9" style="stroke:{colour}"/>"#),
        );
        only(
            "unknown-colour",
            &format!("<style>.a{{fill:{colour}}}</style>"),
        );
        only(
            "unknown-colour",
            &format!(r##"<linearGradient id="g"><stop stop-color="{colour}"/></linearGradient>"##),
        );
    }
    for colour in [
        "RED",
        "rgb(255 0 0)",
        "hsl(120deg 100% 25%)",
        "#f00f",
        "none !important",
        "initial",
    ] {
        none(&format!(
            r#"<rect x="9" y="9" width="9" height="9" style="fill:{colour}"/>"#
        ));
    }
}

/// CSS Values and Units 4 section 2.4: keywords have no case.
#[test]
fn the_current_colour_is_known_in_any_case() {
    let red = [255, 0, 0];
    for body in [
        r#"<g color="red"><rect width="9" height="9" fill="currentcolor"/></g>"#,
        r#"<g style="color:red"><rect width="9" height="9" style="fill: CurrentColor"/></g>"#,
        r#"<style>.a{color:red;fill:currentcolor}</style><rect class="a" width="9" height="9"/>"#,
    ] {
        let artwork = drawn(body);
        assert_eq!(codes(&artwork, Severity::Warning), [""; 0]);
        assert_eq!(colour(&artwork, &artwork.design.objects[0]), red, "{body}");
    }
    only(
        "unknown-colour",
        r#"<rect width="9" height="9" style="color:oklch(1 2 3);fill:currentcolor"/>"#,
    );
}

/// Selectors 4 has all of these; usvg's reader of CSS 2 leaves the rules out.
#[test]
fn a_rule_that_is_not_read_is_told() {
    for selector in [
        "rect:nth-child(2)",
        "rect:not(.k)",
        "#a ~ rect",
        "[id^='a']",
        "rect:last-child",
        "rect:is(.k)",
        ":root",
        ".cls\\:x",
        ".a, rect:not(.k)",
        "svg|rect",
    ] {
        only(
            "style-rule",
            &format!("<style>{selector}{{fill:red}}</style>"),
        );
        // What is left out without harm.
        none(&format!(
            "<style>{selector}{{font-size:3px;--c:red}}</style>"
        ));
    }
    none("<style>/* b */.a,g > .b + #c[d='e']:first-child,rect:hover,.d::before{fill:red}</style>");
    none("<style>@keyframes q{from{fill:blue}}@font-face{src:url(a)}.a{fill:red}</style>");
    only(
        "style-rule",
        "<style>.a{fill:red}<!-- b -->.c{fill:blue}</style>",
    );
    only("style-rule", "<style media=\"print\">.a{fill:red}</style>");
    none("<style media=\"screen\" type=\"text/css\">.a{fill:red}</style>");
    only("style-part", "<style>g{.k{fill:red}}</style>");
    only("style-part", "<style>.k{stroke-width;fill:red}</style>");
    only("style-part", "<style>.k{FILL:red}</style>");
    only("style-part", "<style>.k{stroke-width:var(--w)}</style>");
}

/// CSS Syntax 3 section 5.5.4: a browser goes on after the semicolon; usvg leaves out all the rest.
#[test]
fn a_style_that_is_not_read_is_told() {
    let styled = |style: &str| format!(r#"<rect width="9" height="9" style="{style}"/>"#);
    for style in [
        ";fill:red",
        "foo;fill:red",
        "font:9px/1.5 a;opacity:1",
        "FILL:red",
        "stroke-width:calc(1px + 2px)",
        "stroke-width:8Q",
    ] {
        only("style-part", &styled(style));
    }
    for style in [
        "",
        " fill : red ; stroke-width : 2 ; ",
        "fill:red!important;-inkscape-stroke:none",
        "font-family:'a;b';fill:red",
        "fill:red;font:9px/1.5 a",
        "enable-background:new 0 0 9 9;",
    ] {
        none(&styled(style));
    }
}

/// CSS Transforms 1, CSS Masking 1 section 5 and SVG 2's Geometry Properties.
#[test]
fn css_that_moves_sizes_or_cuts_is_told() {
    let both = |declaration: &str, attributes: &str| {
        let rect = format!(r#"<rect class="k" width="9" height="9" {attributes}"#);
        [
            format!("{rect} style=\"{declaration}\"/>"),
            format!("<style>.k{{{declaration}}}</style>{rect}/>"),
        ]
    };
    for declaration in [
        "transform:translate(2px,5px)",
        "transform:rotate(10deg)",
        "transform:skewX(10)",
        "rotate:10deg",
        "width:5px",
        "x:5px",
        "rx:4px",
    ] {
        both(declaration, "")
            .iter()
            .for_each(|body| only("style-geometry", body));
    }
    for body in both("transform-box:fill-box", "transform=\"scale(2)\"") {
        only("style-geometry", &body);
    }
    for shape in [
        "inset(2px)",
        "circle(4px at 6px 5px)",
        "polygon(0 0,6px 0,0 6px)",
    ] {
        for body in both(&format!("clip-path:{shape}"), "") {
            assert!(warned(&body).contains(&"clip-path".to_owned()), "{body}");
        }
    }
    for declaration in [
        "transform:none",
        "transform:scale(2)",
        "transform:rotate(360deg)",
        "transform:translate3d(0,0px,0)",
        "scale:1",
        "transform:matrix(1,0,0,1,2,2)",
        "transform-box:fill-box",
        "width:9px;height:9px",
        "x:0;rx:auto",
        "clip-path:none",
    ] {
        both(declaration, "").iter().for_each(|body| none(body));
    }
    // A rule that fits nothing harms nothing.
    none("<style>.z{transform:rotate(10deg);width:5px}</style>");
}

/// DOM section 4.2.4: an id means the first element that has it.
#[test]
fn an_id_that_means_two_is_told_where_it_is_referred_to() {
    let clip = |size: u32| {
        format!(r##"<clipPath id="c"><rect width="{size}" height="{size}"/></clipPath>"##)
    };
    let used = r##"<rect width="9" height="9" clip-path="url(#c)"/>"##;
    only(
        "ambiguous-reference",
        &format!("{}{}{used}", clip(5), clip(6)),
    );
    none(&format!("{}{}{used}", clip(5), clip(5)));
    none(&format!("{}{}", clip(5), clip(6)));
}

#[test]
fn what_only_a_clip_path_uses_is_not_missed() {
    none(
        r##"<defs><rect id="z" width="5" height="5"/></defs><clipPath id="c"><use href="#z"/></clipPath><rect width="9" height="9" clip-path="url(#c)"/>"##,
    );
}

#[test]
fn a_layer_hidden_by_a_class_is_told_once() {
    for sheet in [".h{display:none}", "g.h{display:none!important}"] {
        let artwork = drawn(&format!(
            r##"<style>{sheet}</style><rect id="z" width="9" height="9"/><g class="h"><rect width="9" height="9"/><text>a</text><g><path d="M0 0h9v9z"/><use href="#z"/></g></g>"##
        ));
        assert_eq!(codes(&artwork, Severity::Note), ["hidden"]);
        assert_eq!(ids(&artwork), ["z"]);
    }
}

/// SVG 2 section 13.5.4: a subpath without length shows its round or square caps.
#[test]
fn dots_that_are_left_out_are_told() {
    let stroked = |d: &str, cap: &str| {
        warned(&format!(
            r#"<path d="{d}" stroke="red" fill="none" stroke-linecap="{cap}"/>"#
        ))
    };
    assert_eq!(stroked("M10 10h0M20 20h5", "round"), ["dots"]);
    assert_eq!(stroked("M10 10h0M20 20h5", "square"), ["dots"]);
    assert_eq!(stroked("M10 10h0M20 20h5", "butt"), [""; 0]);
    assert_eq!(stroked("M10 10h0", "round"), [""; 0]);
    // A place alone is no dot.
    assert_eq!(stroked("M10 10M20 20h5M30 30", "round"), [""; 0]);
}

/// By scale(a, 1), a stroke of 1 is from 1 to a wide, and taken as the root of a: at a = 1.3 it differs by 14 %,
/// at 1.7 by 30 %.
#[test]
fn a_stroke_of_two_widths_is_a_warning_from_a_quarter_off() {
    let stroked = |a: &str| {
        let artwork = drawn(&format!(
            r#"<g transform="scale({a} 1)"><path d="M2 2L8 17" stroke="red" fill="none"/></g>"#
        ));
        artwork
            .findings
            .iter()
            .map(|one| (one.code, one.severity))
            .collect::<Vec<_>>()
    };
    assert_eq!(stroked("1.3"), [("uneven-stroke", Severity::Note)]);
    assert_eq!(stroked("1.7"), [("uneven-stroke", Severity::Warning)]);
}

/// CSS Fonts 4 section 2.5: `medium` is 16 px in browsers, and an `em` is that where no size is given. CSS Values 4
/// section 6.1.1: an `ex` is half of it where the font does not say.
#[test]
fn an_em_is_16_px() {
    let text = r#"<svg xmlns="http://www.w3.org/2000/svg" width="10em" height="20ex"><rect width="1em" height="1ex"/></svg>"#;
    let artwork = try_read(text, Scale::AsDrawn).expect("it can be read");
    near(artwork.design.page.greatest.x, 160.0 * 25.4 / 96.0, 1e-3);
    near(artwork.design.page.greatest.y, 160.0 * 25.4 / 96.0, 1e-3);
    near(
        area(&artwork.design.objects[0]),
        16.0 * 8.0 * (25.4_f64 / 96.0).powi(2),
        1e-3,
    );
}

/// SVG 2, Geometry Properties: the style's width and height go before the attributes.
#[test]
fn the_page_is_as_large_as_its_style_says() {
    let of = |attributes: &str| {
        let text = format!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" {attributes}><rect width="4" height="3"/></svg>"#
        );
        let artwork = try_read(&text, Scale::AsDrawn).expect("it can be read");
        let told = artwork
            .findings
            .iter()
            .map(|one| one.code)
            .collect::<Vec<_>>()
            .join(" ");
        (
            artwork.design.page.greatest.x,
            area(&artwork.design.objects[0]),
            told,
        )
    };
    for attributes in [
        r#"viewBox="0 0 40 30" style="width:80mm;height:60mm""#,
        r#"viewBox="0 0 40 30" style="width:8cm""#,
        r#"viewBox="0 0 40 30" style="height: 60mm""#,
        r#"viewBox="0 0 40 30" width="400" height="300" style="width:80mm;height:60mm""#,
    ] {
        let (width, area, told) = of(attributes);
        near(width, 80.0, 1e-3);
        near(area, 8.0 * 6.0, 1e-3);
        assert_eq!(told, "", "{attributes}");
    }
    let (width, _, told) = of(r#"width="80mm" height="60mm" style="width:40mm;height:30mm""#);
    near(width, 80.0, 1e-3);
    assert_eq!(told, "style-geometry");
    let (_, _, told) = of(r#"viewBox="0 0 40 30" style="width:100%""#);
    assert_eq!(told, "no-physical-size");
}

/// SVG 2 section 13.5.4: a square cap reaches half of the width beyond each end of an open line.
#[test]
fn square_caps_lengthen_open_lines() {
    let stroked = |cap: &str, d: &str| {
        let artwork = drawn(&format!(
            r#"<path d="{d}" fill="none" stroke="red" stroke-width="6" stroke-linecap="{cap}"/>"#
        ));
        line(&artwork.design.objects[0]).1
    };
    for (corner, expected) in
        stroked("square", "M10 10h6v8")
            .iter()
            .zip([(7.0, 10.0), (16.0, 10.0), (16.0, 21.0)])
    {
        near(corner.0, expected.0, 1e-5);
        near(corner.1, expected.1, 1e-5);
    }
    near(stroked("butt", "M10 10h6")[0].0, 10.0, 1e-5);
    near(stroked("square", "M10 10h6v8z")[0].0, 10.0, 1e-5);
}

#[test]
fn what_symbols_show_otherwise_is_told() {
    only(
        "symbol",
        r##"<symbol id="s" viewBox="0 0 9 9" width="9" height="9"><rect width="9" height="9"/></symbol><use href="#s"/>"##,
    );
    none(
        r##"<symbol id="s" viewBox="0 0 9 9" width="9" height="9"><rect width="9" height="9"/></symbol><use href="#s" width="9" height="9"/>"##,
    );
    only(
        "symbol",
        r##"<symbol id="s" viewBox="0 0 9 9"><rect width="50%" height="9"/></symbol><use href="#s" width="9" height="9"/>"##,
    );
    only(
        "symbol",
        r##"<clipPath id="c"><rect width="20" height="20"/></clipPath><symbol id="s"><rect width="9" height="9"/></symbol><use href="#s" x="5" clip-path="url(#c)"/>"##,
    );
    only(
        "text",
        r##"<clipPath id="c"><rect width="5" height="5"/><text>a</text></clipPath><rect width="9" height="9" clip-path="url(#c)"/>"##,
    );
}
