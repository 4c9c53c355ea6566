//! Artwork like the owl's, of any number of stitches: the patch many times over, and larger.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// The repository's own folder.
pub fn root() -> PathBuf {
    let host = Path::new(env!("CARGO_MANIFEST_DIR"));
    host.parent().unwrap_or(host).to_owned()
}

/// Stitches of the patch as it is drawn, about: those that grow with its size, as along outlines and satin,
/// and those that grow with the square of it, as in fills.
const ALONG: f64 = 6_600.0;
const WITHIN: f64 = 7_800.0;
/// Below this size hardly anything of the patch can be sewn.
const SMALLEST: f64 = 0.15;
/// From one patch to the next, in the drawing's mm.
const PITCH: f64 = 90.0;

/// Patches side by side, all of one size.
#[derive(Clone, Copy, Debug)]
pub struct Owls {
    /// How many.
    pub count: usize,
    /// How large, where 1 is as drawn.
    pub scale: f64,
}

impl Owls {
    /// So many, and so large, that about `stitches` sew them. Both grow: a hundred times the stitches are some
    /// twenty times the patches, each of five times the stitches.
    pub fn of(stitches: usize) -> Self {
        let wanted = stitches as f64;
        let count = (wanted / (ALONG + WITHIN)).powf(2.0 / 3.0).round().max(1.0);
        let of_each = wanted / count;
        let root = (ALONG * ALONG + 4.0 * WITHIN * of_each).sqrt();
        Self {
            count: count as usize,
            scale: ((root - ALONG) / (2.0 * WITHIN)).max(SMALLEST),
        }
    }

    /// In words, for a table.
    pub fn in_words(self) -> String {
        let patches = if self.count == 1 { "patch" } else { "patches" };
        format!("{} {patches} at {:.2} of its size", self.count, self.scale)
    }

    /// As SVG. Ids are unique; what were ids in the patch are classes as well, so that the patch's routine
    /// knows every object of every patch.
    pub fn svg(self) -> String {
        let patch = std::fs::read_to_string(root().join("demo-pipelines/owl/owl.svg")).unwrap();
        let (_, body) = patch.split_once("</title>").unwrap();
        let body = body.trim_end().strip_suffix("</svg>").unwrap();
        let across = (self.count as f64).sqrt().ceil() as usize;
        let down = self.count.div_ceil(across);
        let side = PITCH * self.scale;
        let (wide, high) = (side * across as f64, side * down as f64);
        let mut svg = format!(
            r#"<svg xmlns="http://www.w3.org/2000/svg" width="{wide}mm" height="{high}mm" viewBox="0 0 {wide} {high}"><title>Owls</title>"#
        );
        for place in 0..self.count {
            let x = side * (place % across) as f64;
            let y = side * (place / across) as f64;
            let scale = self.scale;
            let _ = write!(
                svg,
                r#"<g transform="translate({x} {y}) scale({scale})">{}</g>"#,
                renamed(body, place)
            );
        }
        svg.push_str("</svg>\n");
        svg
    }
}

/// The same elements with other ids; the old ones become classes.
fn renamed(body: &str, place: usize) -> String {
    let mut text = String::new();
    for piece in body.split_inclusive('>') {
        let Some((before, rest)) = piece.split_once(" id=\"") else {
            text.push_str(piece);
            continue;
        };
        let (id, after) = rest.split_once('"').unwrap();
        let _ = write!(text, r#"{before} id="{id}-{place}""#);
        match after.split_once("class=\"") {
            Some((between, classes)) => {
                let _ = write!(text, r#"{between}class="{id} {classes}"#);
            }
            None => {
                let _ = write!(text, r#" class="{id}"{after}"#);
            }
        }
    }
    text
}
