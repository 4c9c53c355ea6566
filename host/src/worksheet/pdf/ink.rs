//! Pages of marks as a PDF file, tagged so that a screen reader finds its way.

use super::marks::{Area, Mark, Page, Pen, Placed, Sense};
use super::strokes::Stroke;
use super::structure::Structure;
use super::typeface::{POINT, Typefaces, Weight};
use crate::diagnostics::Diagnostic;
use crate::rack::Colour;
use krilla::color::{luma, rgb};
use krilla::geom::{Path, PathBuilder, Point, Rect, Transform};
use krilla::metadata::Metadata;
use krilla::num::NormalizedF32;
use krilla::page::PageSettings;
use krilla::paint::{Fill, FillRule, LineCap, LineJoin, StrokeDash};
use krilla::surface::Surface;
use krilla::tagging::{Artifact, ArtifactType, ContentTag, SpanTag};
use krilla::{Document, SerializeSettings, paint};

/// Prints `pages` of a size in mm. `picture` says in words what the strokes show.
///
/// # Errors
/// The PDF library refuses, which is a mistake of the program's.
pub fn print(
    faces: &Typefaces,
    [width, height]: [f64; 2],
    pages: &[Page],
    strokes: &[Stroke],
    title: &str,
    picture: &str,
) -> Result<Vec<u8>, Diagnostic> {
    let broken = |why: String| {
        Diagnostic::error(
            "internal",
            format!("the worksheet's PDF cannot be made: {why}"),
        )
    };
    let settings = SerializeSettings {
        xmp_metadata: false,
        ..SerializeSettings::default()
    };
    let mut document = Document::new_with(settings);
    let mut structure = Structure::new(title, picture);
    for page in pages {
        let size = PageSettings::from_wh(points(width), points(height))
            .ok_or_else(|| broken(format!("no page is {width} x {height} mm")))?;
        let mut sheet = document.start_page_with(size);
        let mut surface = sheet.surface();
        for Placed { mark, sense } in page {
            let tag = match (sense, mark) {
                (Sense::Decor, _) => {
                    ContentTag::Artifact(Artifact::with_kind(ArtifactType::Layout))
                }
                (_, Mark::Text { .. }) => ContentTag::Span(SpanTag::empty()),
                _ => ContentTag::Other,
            };
            let content = surface.start_tagged(tag);
            draw(&mut surface, faces, mark, strokes);
            surface.end_tagged();
            structure.add(*sense, content);
        }
        surface.finish();
        sheet.finish();
    }
    document.set_tag_tree(structure.into_tree());
    document.set_metadata(
        Metadata::new()
            .title(title.to_owned())
            .language("en".to_owned()),
    );
    document
        .finish()
        .map_err(|error| broken(format!("{error:?}")))
}

/// Millimetres as points.
fn points(mm: f64) -> f32 {
    (mm / POINT) as f32
}

fn draw(surface: &mut Surface<'_>, faces: &Typefaces, mark: &Mark, strokes: &[Stroke]) {
    match mark {
        Mark::Text {
            at,
            size,
            weight,
            text,
            white,
        } => {
            let lightness = if *white { 255 } else { 0 };
            surface.set_stroke(None);
            surface.set_fill(Some(grey(lightness)));
            write(surface, faces, *at, *size, *weight, text);
        }
        Mark::Line { ends, pen } => {
            let [from, to] = ends.map(|end| end.map(points));
            let mut path = PathBuilder::new();
            path.move_to(from[0], from[1]);
            path.line_to(to[0], to[1]);
            surface.set_fill(None);
            surface.set_stroke(Some(stroke(*pen)));
            stroke_path(surface, path.finish());
        }
        Mark::Frame { area, pen, fill } => {
            surface.set_fill(fill.map(colour));
            surface.set_stroke(Some(stroke(*pen)));
            stroke_path(surface, frame(*area));
        }
        Mark::Stitches { origin, scale } => {
            // Inside the picture one unit is 0.01 mm sewn, so that all numbers are whole and short.
            let unit = (scale / 100.0 / POINT) as f32;
            let [x, y] = origin.map(points);
            surface.push_transform(&Transform::from_row(unit, 0.0, 0.0, unit, x, y));
            surface.set_fill(None);
            for thread in strokes {
                sew(surface, thread);
            }
            surface.pop();
        }
    }
}

fn write(
    surface: &mut Surface<'_>,
    faces: &Typefaces,
    at: [f64; 2],
    size: f64,
    weight: Weight,
    text: &str,
) {
    let shaped = faces.shape(weight, text);
    if shaped.glyphs.is_empty() {
        return;
    }
    let [x, y] = at.map(points);
    surface.draw_glyphs(
        Point::from_xy(x, y),
        &shaped.glyphs,
        faces.font(weight),
        &shaped.text,
        size as f32,
        false,
    );
}

/// Draws thread.
fn sew(surface: &mut Surface<'_>, thread: &Stroke) {
    let mut path = PathBuilder::new();
    for way in &thread.ways {
        for (i, [x, y]) in way.iter().enumerate() {
            // Whole numbers below 2^24 are exact; the longest design is 10 m, 10^6 units.
            let (x, y) = (*x as f32, *y as f32);
            if i == 0 {
                path.move_to(x, y);
            } else {
                path.line_to(x, y);
            }
        }
    }
    let [red, green, blue] = thread.colour;
    surface.set_stroke(Some(paint::Stroke {
        paint: rgb::Color::new(red, green, blue).into(),
        width: thread.width as f32,
        line_cap: LineCap::Round,
        line_join: LineJoin::Round,
        ..paint::Stroke::default()
    }));
    stroke_path(surface, path.finish());
}

fn stroke_path(surface: &mut Surface<'_>, path: Option<Path>) {
    if let Some(path) = path {
        surface.draw_path(&path);
    }
}

fn frame(area: Area) -> Option<Path> {
    let [x, y, width, height] = [area.x, area.y, area.width, area.height].map(points);
    let mut path = PathBuilder::new();
    path.push_rect(Rect::from_xywh(x, y, width, height)?);
    path.finish()
}

fn stroke(pen: Pen) -> paint::Stroke {
    paint::Stroke {
        paint: luma::Color::new(pen.grey).into(),
        width: points(pen.width),
        dash: pen.dash.map(|dash| StrokeDash {
            array: vec![points(dash); 2],
            offset: 0.0,
        }),
        ..paint::Stroke::default()
    }
}

fn grey(lightness: u8) -> Fill {
    Fill {
        paint: luma::Color::new(lightness).into(),
        opacity: NormalizedF32::ONE,
        rule: FillRule::NonZero,
    }
}

fn colour(Colour { red, green, blue }: Colour) -> Fill {
    Fill {
        paint: rgb::Color::new(red, green, blue).into(),
        opacity: NormalizedF32::ONE,
        rule: FillRule::NonZero,
    }
}
