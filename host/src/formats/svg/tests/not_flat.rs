//! What is not flat is named, with its place.

use super::*;
use crate::diagnostics::Diagnostic;

#[test]
fn flat_artwork_is_read_without_a_word() {
    let artwork = drawn(r#"<rect width="9" height="9"/><path d="M0 20h9" stroke="red"/>"#);
    assert_eq!(codes(&artwork, Severity::Note), [""; 0]);
}

fn written(finding: &Diagnostic) -> String {
    let severity = match finding.severity {
        Severity::Note => "note",
        Severity::Warning => "warning",
        Severity::Error => "error",
    };
    let place = match (finding.line, finding.column) {
        (Some(line), Some(column)) => format!("{line}:{column} "),
        _ => String::new(),
    };
    let object = finding.object.as_deref().unwrap_or("-");
    format!(
        "{place}{severity} {} [{object}] {}",
        finding.code, finding.message
    )
}

/// All findings about `body`, which stands on the second line, after a flat shape.
fn told(body: &str) -> String {
    let artwork = drawn(&format!("<circle cx=\"50\" cy=\"50\" r=\"9\"/>\n{body}"));
    assert!(!artwork.design.objects.is_empty());
    assert!(
        artwork
            .findings
            .iter()
            .all(|finding| finding.file.as_deref() == Some(Path::new("art.svg")))
    );
    let lines: Vec<String> = artwork.findings.iter().map(written).collect();
    lines.join("\n")
}

#[test]
fn paints() {
    insta::assert_snapshot!(told(
        r##"<linearGradient id="dusk"><stop stop-color="red"/><stop offset="1" stop-color="blue"/></linearGradient>
        <rect id="sky" x="9" y="9" width="9" height="9" fill="url(#dusk)" stroke="url(#dusk)"/>
        <pattern id="weave" width="2" height="2" patternUnits="userSpaceOnUse"><rect width="2" height="2" fill="#123456"/><rect width="1" height="1" fill="red"/></pattern>
        <rect width="9" height="9" fill="url(#weave)"/>
        <rect width="9" height="9" fill="var(--bark, brown)"/>
        <rect width="9" height="9" style="stroke: oklch(1 2 3)"/>
        <style>.a { fill: color(display-p3 1 0 0) }</style>
        <rect width="9" height="9" fill="url(#nowhere)"/>"##
    ), @r##"
    3:9 warning gradient [sky-fill] the fill of <rect> "sky" is the gradient "dusk"; its average, #800080, stands for it
    3:9 warning gradient [sky-stroke] the stroke of <rect> "sky" is the gradient "dusk"; its average, #800080, stands for it
    5:9 warning pattern [rect-4] the fill of this <rect> is the pattern "weave"; the colour that covers most of it, #123456, stands for it
    6:9 warning unknown-colour [-] fill "var(--bark, brown)" is not a colour that can be read; black is taken
    7:9 warning unknown-colour [-] stroke "oklch(1 2 3)" is not a colour that can be read; no stroke is taken
    8:9 warning unknown-colour [-] fill "color(display-p3 1 0 0)" is not a colour that can be read; black is taken
    9:9 warning missing-reference [-] fill refers to "#nowhere", which is not there, and is left out
    "##);
}

/// The average of a gradient, worked out by hand from its stops.
#[test]
fn a_gradient_becomes_its_average() {
    for (stops, expected) in [
        // Red to blue evenly: half of each.
        (
            r##"<stop stop-color="#f00"/><stop offset="1" stop-color="#00f"/>"##,
            [128, 0, 128],
        ),
        // White up to 1/4, then black from there on: a quarter of white.
        (
            r##"<stop offset=".25" stop-color="#fff"/><stop offset=".25" stop-color="#000"/>"##,
            [64, 64, 64],
        ),
        // 1/2 white, then a quarter falling to black, then a quarter black: 5/8 white.
        (
            r##"<stop offset="50%" stop-color="#fff"/><stop offset="75%" stop-color="#000"/>"##,
            [159, 159, 159],
        ),
        // What cannot be seen has no weight.
        (
            r##"<stop stop-color="#0a0"/><stop offset="1" stop-color="#00f" stop-opacity="0"/>"##,
            [0, 170, 0],
        ),
    ] {
        for kind in ["linearGradient", "radialGradient"] {
            let artwork = drawn(&format!(
                r##"<{kind} id="g">{stops}</{kind}><rect width="9" height="9" fill="url(#g)"/>"##
            ));
            let found = colour(&artwork, &artwork.design.objects[0]);
            let near = |(a, b): (&u8, &u8)| a.abs_diff(*b) <= 1;
            assert!(
                found.iter().zip(&expected).all(near),
                "{stops} gives {found:?}"
            );
        }
    }
}

#[test]
fn transparency_and_effects() {
    insta::assert_snapshot!(told(
        r##"<g id="mist" opacity="0.5"><rect width="9" height="9"/><rect width="9" height="9"/></g>
        <rect x="9" y="9" width="9" height="9" fill-opacity="25%" stroke="rgba(0,0,0,.1)"/>
        <rect width="9" height="9" opacity="0"/>
        <rect width="9" height="9" fill="transparent"/>
        <filter id="blur"><feGaussianBlur stdDeviation="1"/></filter><rect id="soft" width="9" height="9" style="filter:url(#blur)"/>
        <mask id="m"><rect width="5" height="5" fill="white"/></mask><rect width="9" height="9" mask="url(#m)"/>
        <g style="mix-blend-mode:multiply"><rect width="9" height="9"/></g>
        <rect width="9" height="9" clip-path="url(#none)"/>
        <rect width="9" height="9" filter="url(#none)"/>"##
    ), @r##"
    2:1 warning opacity [-] <g> "mist" has an opacity of 50 %; it is taken as opaque
    3:9 warning opacity [rect-3-fill] the fill of this <rect> has an opacity of 25 %; it is taken as opaque
    3:9 warning opacity [rect-3-stroke] the stroke of this <rect> has an opacity of 10.2 %; it is taken as opaque
    4:9 note see-through [-] this <rect> is fully see-through; nothing is made of it
    5:9 note see-through [-] this <rect> is fully see-through; nothing is made of it
    6:70 warning filter [-] the filter of <rect> "soft" is left out
    7:70 warning mask [-] the mask of this <rect> is left out: all of it is taken as seen
    8:9 warning blend-mode [-] this <g> is blended with what lies below (multiply); it is taken as it is
    9:9 warning missing-reference [-] clip-path refers to "#none", which is not there, and is left out
    10:9 warning not-shown [-] this <rect> is not shown: its filter url(#none) is not there or lets nothing through
    "##);
}

#[test]
fn strokes() {
    insta::assert_snapshot!(told(
        r##"<path d="M0 9h9" stroke="black" stroke-dasharray="1 2"/>
        <marker id="tip"><path d="M0 0h1v1z"/></marker>
        <path id="arrow" d="M0 9h9" stroke="black" marker-end="url(#tip)"/>
        <style>.b { marker: url(#tip); vector-effect: non-scaling-stroke }</style>
        <path d="M0 9h9" stroke="black" vector-effect="non-scaling-stroke"/>
        <path d="M1 9h9M5 5h0" stroke="black" stroke-linecap="round"/>"##
    ), @r##"
    2:1 warning dashes [path-1] the stroke of this <path> is dashed; it is taken as a whole line
    4:9 warning markers [-] the markers of <path> "arrow" are left out
    5:9 warning markers [-] the markers that this <style> gives are left out
    5:9 warning fixed-stroke [-] strokes that this <style> keeps from scaling (vector-effect) do scale
    6:9 warning fixed-stroke [-] the stroke of this <path> should not scale (vector-effect), but does
    7:9 warning dots [-] this <path> has dots, parts without length whose caps are seen; they are left out
    "##);
}

#[test]
fn what_is_no_shape() {
    insta::assert_snapshot!(told(
        r##"<text x="5" y="5">Barn <tspan>owl</tspan></text>
        <image id="photo" href="photo.png" width="5" height="5"/><image href="data:image/png;base64,AAAA" width="5" height="5"/>
        <foreignObject width="9" height="9"><p xmlns="http://www.w3.org/1999/xhtml">hoot</p></foreignObject>
        <switch><g systemLanguage="de"><rect width="9" height="9"/></g><g><rect width="8" height="8"/></g></switch>
        <rect width="9" height="9"><animate attributeName="x" to="5"/></rect>
        <script>1</script>
        <use id="lost" href="#nowhere"/><use href="other.svg#owl"/>
        <g id="snake"><use href="#snake"/></g>
        <meshgradient><meshrow><meshpatch/></meshrow></meshgradient>
        <style>@import url(more.css); @media print { rect { fill: red } }</style>"##
    ), @r##"
    2:1 warning text [-] the text "Barn owl" is left out: no font is loaded
    3:9 warning image [-] <image> "photo" is a picture (linked), and is left out
    3:66 warning image [-] this <image> is a picture (embedded), and is left out
    4:9 warning unknown-element [-] this <foreignObject> cannot be read, and is left out with all in it
    5:9 note switch [-] of this <switch>, only the first part that fits is taken
    6:36 note animation [-] this <animate> is an animation; the drawing is taken at rest
    7:9 note script [-] a script is not run
    8:9 warning nothing-to-use [-] <use> "lost" shows "#nowhere", which is not there
    8:41 warning other-file [-] this <use> shows "other.svg#owl" from another file, which is not loaded
    9:23 warning endless-use [-] this <use> shows what it is part of, and is left out
    10:9 warning unknown-element [-] this <meshgradient> cannot be read, and is left out with all in it
    11:9 warning style-rule [-] @import in this <style> is left out, with the rules in it
    11:9 warning style-rule [-] @media in this <style> is left out, with the rules in it
    "##);
}

#[test]
fn what_is_not_seen() {
    insta::assert_snapshot!(told(
        r##"<g id="draft" display="none"><rect width="9" height="9"/><rect width="9" height="9"/></g>
        <style>.off { display: none }</style><rect class="off" width="9" height="9"/>
        <rect visibility="hidden" width="9" height="9"/>
        <rect width="0" height="9"/><circle r="0"/><path d=""/><polygon points=""/>
        <path d="M0 0h9"/>
        <rect systemLanguage="de" width="9" height="9"/>
        <rect transform="scale(0)" width="9" height="9"/>
        <clipPath id="elsewhere"><rect x="70" width="5" height="5"/></clipPath><rect clip-path="url(#elsewhere)" width="9" height="9"/>
        <rect width="9" height="9" fill="none"/>
        <defs><text>never shown</text><rect width="9" height="9"/></defs><symbol><image/></symbol>"##
    ), @r##"
    2:1 note hidden [-] <g> "draft" is hidden, and is left out
    3:46 note hidden [-] this <rect> is hidden, and is left out
    4:9 note hidden [-] this <rect> is hidden, and is left out
    5:9 note no-size [-] this <rect> has no size; nothing is made of it
    5:37 note no-size [-] this <circle> has no size; nothing is made of it
    5:52 note no-size [-] this <path> has no size; nothing is made of it
    5:64 note no-size [-] this <polygon> has no size; nothing is made of it
    6:9 note no-size [-] this <path> has no area and no stroke; nothing is made of it
    7:9 note conditional [-] this <rect> is for other readers only, and is left out
    8:9 warning not-shown [-] this <rect> is not shown: a style hides it, or its outline or transform is not sound
    9:80 note clipped-away [-] a clip path leaves nothing of this <rect>
    "##);
}

#[test]
fn the_page() {
    let told = |text: &str| -> String {
        let artwork = try_read(text, Scale::AsDrawn).expect("it can be read");
        let lines: Vec<String> = artwork.findings.iter().map(written).collect();
        lines.join("\n")
    };
    insta::assert_snapshot!(told(
        r#"<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 96 48"><rect width="9" height="9"/></svg>"#
    ), @r##"1:1 note no-physical-size [-] the artwork has no size in mm; at 96 px to the inch its page is 25.4 by 12.7 mm"##);
    insta::assert_snapshot!(told(
        r#"<?xml-stylesheet href="a.css"?>
<svg xmlns="http://www.w3.org/2000/svg" width="9furlongs" height="20mm" viewBox="0 0 0 9" style="background-color: red"><rect width="9" height="9"/></svg>"#
    ), @r##"
    2:1 warning unknown-unit [-] width="9furlongs" is not a length, and counts as 100%
    2:1 warning bad-view-box [-] viewBox="0 0 0 9" is not a box with a size, and is left out
    2:1 note page-background [-] the page's background colour is left out
    2:1 warning other-file [-] a style sheet in another file is not loaded
    "##);
}

#[test]
fn many_of_a_kind_are_told_in_short() {
    let text = "<text>a</text>".repeat(50);
    let artwork = drawn(&format!(r#"<rect width="9" height="9"/>{text}"#));
    assert_eq!(artwork.findings.len(), 21);
    assert_eq!(
        artwork.findings[20].message,
        "and 30 more of the kind \"text\""
    );
}

#[test]
fn a_finding_within_a_use_is_told_once() {
    let artwork = drawn(
        r##"<defs><path id="ray" d="M0 9h9" stroke="black" stroke-dasharray="1 2"/></defs>
        <use href="#ray"/><use href="#ray" x="9"/><use href="#ray" x="18"/>"##,
    );
    assert_eq!(artwork.design.objects.len(), 3);
    assert_eq!(codes(&artwork, Severity::Warning), ["dashes"]);
}
