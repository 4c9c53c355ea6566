//! A picture of the stitches as SVG, in true size.

pub(crate) mod path;

use crate::design::{Design, Object, Stitch, StitchKind, StitchRole, Thread};
use crate::rack::Colour;
use geo::{Coord, Rect};
use path::PathData;
use std::fmt::Write as _;

/// How the picture is drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct PreviewOptions {
    /// The fabric's colour: red, green, blue (sRGB).
    pub fabric: [u8; 3],
    /// Fabric around the stitches, in mm.
    pub margin: f64,
    /// Thickness of the thread, in mm. A 40 weight thread covers about 0.4 mm (common practice).
    pub thread_width: f64,
    /// Whether the ways between needle points that are jumped or trimmed are drawn as dashes.
    pub passages: bool,
}

impl Default for PreviewOptions {
    fn default() -> Self {
        Self {
            fabric: [240, 237, 229],
            margin: 5.0,
            thread_width: 0.4,
            passages: false,
        }
    }
}

/// Draws `design`. The same design gives the same text on every machine.
pub fn svg(design: &Design, options: &PreviewOptions) -> String {
    let page = Rect::new(
        Coord::from(design.page.least),
        Coord::from(design.page.greatest),
    );
    let seen = design.sewn_bounds().unwrap_or(page);
    let margin = Coord {
        x: options.margin,
        y: options.margin,
    };
    let (least, greatest) = (seen.min() - margin, seen.max() + margin);
    // Inside the picture one unit is 0.01 mm, so that all numbers are whole.
    let [left, top, right, bottom] =
        [least.x, least.y, greatest.x, greatest.y].map(path::hundredths);
    let (width, height) = (right - left, bottom - top);
    let mut svg = String::new();
    let (wide, high) = (decimal(width), decimal(height));
    let _ = write!(
        svg,
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="{wide}mm" height="{high}mm" viewBox="{left} {top} {width} {height}">"#
    );
    let _ = write!(svg, "<title>{}</title>", escaped(&design.title));
    let fabric = Colour::new(options.fabric);
    let _ = write!(
        svg,
        r#"<path fill="{fabric}" d="M{left} {top}h{width}v{height}h-{width}z"/>"#
    );
    let thread_width = path::hundredths(options.thread_width).max(1);
    // The lit middle of the thread is narrower than the space between neighbouring rows of a full
    // cover (0.2 mm), so that single rows can be told apart.
    let lit_width = (thread_width * 2 / 5).max(1);
    svg.push_str(r#"<g fill="none" stroke-linecap="round" stroke-linejoin="round">"#);
    let mut passages = PathData::default();
    let mut before = None;
    let mut number = 0;
    for object in &design.objects {
        let [edge, lit] = shades(design.threads.get(object.thread as usize));
        for thread in layers(object, &mut before, &mut passages) {
            let _ = write!(
                svg,
                r##"<g stroke="{edge}" stroke-width="{thread_width}"><path id="t{number}" d="{thread}"/></g><use href="#t{number}" stroke="{lit}" stroke-width="{lit_width}"/>"##
            );
            number += 1;
        }
    }
    if options.passages && !passages.is_empty() {
        let _ = write!(
            svg,
            r##"<path stroke="#c00" stroke-width="10" stroke-dasharray="60 40" d="{passages}"/>"##
        );
    }
    svg.push_str("</g></svg>\n");
    svg
}

/// The thread of an object, from needle point to needle point, parted where what is meant to be
/// seen begins or ends: the thread's lit middle is drawn over its edges, so that a part which lies
/// under another must be drawn before it. `before` is the last needle point sewn before the object;
/// ways with the needle up are added to `passages`.
fn layers(
    object: &Object,
    before: &mut Option<Coord<f64>>,
    passages: &mut PathData,
) -> Vec<PathData> {
    let mut layers = Vec::new();
    let mut layer = PathData::default();
    let mut seen = None;
    let mut joined = false;
    for Stitch { at, kind, role } in object.each_stitch() {
        if kind != StitchKind::Needle {
            joined = false;
            continue;
        }
        let is_seen = matches!(role, StitchRole::Cover | StitchRole::Tie);
        let from = before.replace(at);
        if seen.replace(is_seen) != Some(is_seen) {
            layers.extend(layer.take_lines());
            if let (true, Some(from)) = (joined, from) {
                layer.move_to(from);
            }
        }
        if joined {
            layer.line_to(at);
        } else {
            if let Some(from) = from {
                passages.move_to(from);
                passages.line_to(at);
            }
            layer.move_to(at);
        }
        joined = true;
    }
    layers.extend(layer.take_lines());
    layers
}

/// The thread's edge, in shadow, and its lit middle.
fn shades(thread: Option<&Thread>) -> [Colour; 2] {
    let colour = thread.map_or([128; 3], |thread| [thread.red, thread.green, thread.blue]);
    // Four fifths of the light; a black thread's middle shines a little instead.
    let edge = colour.map(|channel| (u16::from(channel) * 4 / 5) as u8);
    let lit = colour.map(|channel| channel.saturating_add((255 - channel) / 10));
    [edge, lit].map(Colour::new)
}

/// Hundredths of a mm as mm.
fn decimal(hundredths: i64) -> String {
    format!("{}.{:02}", hundredths / 100, hundredths % 100)
}

/// Text as XML has it. Characters that XML 1.0 has no place for are left out.
fn escaped(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => escaped.push_str("&amp;"),
            '<' => escaped.push_str("&lt;"),
            '>' => escaped.push_str("&gt;"),
            '\t' | '\n' | ' '.. if c != '\u{fffe}' && c != '\u{ffff}' => escaped.push(c),
            _ => {}
        }
    }
    escaped
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::design::{Point, Rectangle, Shape, StitchList};

    fn design(title: &str, stitches: impl FnOnce(&mut StitchList)) -> Design {
        let mut list = StitchList::new();
        stitches(&mut list);
        let mut object = Object::new("a", Shape::Manual);
        object.stitches = list.into_blocks();
        Design {
            title: title.to_owned(),
            page: Rectangle {
                least: Point { x: 0.0, y: 0.0 },
                greatest: Point { x: 30.0, y: 20.0 },
            },
            threads: vec![Thread {
                name: "Barn".to_owned(),
                code: String::new(),
                red: 200,
                green: 100,
                blue: 0,
                weight: 40,
            }],
            objects: vec![object],
        }
    }

    fn at(x: f64, y: f64) -> Coord<f64> {
        Coord { x, y }
    }

    #[test]
    fn a_stitch_is_drawn_in_true_size() {
        let design = design("Owl", |list| {
            list.needle(StitchRole::Cover, at(0.0, 0.0));
            list.needle(StitchRole::Cover, at(10.0, 0.0));
            list.needle(StitchRole::Cover, at(10.0, 2.555));
        });
        let options = PreviewOptions {
            margin: 1.0,
            ..PreviewOptions::default()
        };
        insta::assert_snapshot!(svg(&design, &options), @r##"<svg xmlns="http://www.w3.org/2000/svg" width="12.00mm" height="4.56mm" viewBox="-100 -100 1200 456"><title>Owl</title><path fill="#f0ede5" d="M-100 -100h1200v456h-1200z"/><g fill="none" stroke-linecap="round" stroke-linejoin="round"><g stroke="#a05000" stroke-width="40"><path id="t0" d="M0 0l1000 0 0 256"/></g><use href="#t0" stroke="#cd7319" stroke-width="16"/></g></svg>"##);
    }

    #[test]
    fn passages_are_dashed_only_when_asked_for() {
        let design = design("Owl", |list| {
            list.needle(StitchRole::Cover, at(0.0, 0.0));
            list.jump(at(10.0, 0.0));
            list.needle(StitchRole::Cover, at(10.0, 0.0));
            list.needle(StitchRole::Cover, at(12.0, 0.0));
        });
        let options = PreviewOptions::default();
        assert!(!svg(&design, &options).contains("dasharray"));
        let options = PreviewOptions {
            passages: true,
            ..options
        };
        assert!(svg(&design, &options).contains(r#"d="M0 0l1000 0""#));
    }

    #[test]
    fn underlay_is_drawn_whole_before_its_cover() {
        let design = design("Owl", |list| {
            list.needle(StitchRole::Underlay, at(0.0, 0.0));
            list.needle(StitchRole::Underlay, at(1.0, 0.0));
            list.needle(StitchRole::Cover, at(1.0, 1.0));
            list.needle(StitchRole::Cover, at(0.0, 1.0));
        });
        let svg = svg(&design, &PreviewOptions::default());
        // The cover goes on where the underlay ended.
        let underlay = svg.find(r##"d="M0 0l100 0"/></g><use"##);
        let cover = svg.find(r##"d="M100 0l0 100-100 0"/></g><use"##);
        assert!(underlay.is_some() && underlay < cover, "{svg}");
    }

    #[test]
    fn titles_cannot_leave_their_element() {
        let svg = svg(
            &design("</title><script>alert(1)</script>\u{0}&", |_| {}),
            &PreviewOptions::default(),
        );
        assert!(!svg.contains("<script>"));
        assert!(svg.contains("&lt;script&gt;alert(1)&lt;/script&gt;&amp;</title>"));
        assert!(roxmltree::Document::parse(&svg).is_ok());
    }

    #[test]
    fn an_empty_design_shows_its_page() {
        let svg = svg(&design("Owl", |_| {}), &PreviewOptions::default());
        assert!(svg.contains(r#"width="40.00mm" height="30.00mm""#));
    }
}
