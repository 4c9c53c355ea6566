//! The stock readers.

use super::Artwork;
use super::reader::{Asked, Likeness, Reader};
use crate::diagnostics::Failed;
use crate::formats::{design_json, dst, svg};
use crate::json::MARK;
use crate::pipeline::Measured;
use crate::reading::to_text;
use std::path::Path;

/// The readers of all stock forms.
pub(super) fn stock() -> Vec<Box<dyn Reader>> {
    vec![Box::new(Svg), Box::new(DesignJson), Box::new(Dst)]
}

/// Flat vector artwork.
struct Svg;

impl Reader for Svg {
    fn name(&self) -> &str {
        "SVG"
    }

    fn endings(&self) -> &[&str] {
        &["svg"]
    }

    fn likeness(&self, bytes: &[u8]) -> Likeness {
        begins(bytes, b"<", Likeness::Some)
    }

    fn scales(&self) -> bool {
        true
    }

    fn read(&self, path: &Path, bytes: &[u8], asked: &Asked<'_>) -> Result<Artwork, Failed> {
        let text = text(path, bytes)?;
        let scale = match (asked.size.width, asked.size.height) {
            (None, None) => svg::Scale::AsDrawn,
            (Some(width), None) => svg::Scale::Width(width),
            (None, Some(height)) => svg::Scale::Height(height),
            (Some(width), Some(height)) => svg::Scale::Within { width, height },
        };
        let (read, scale) = match asked.size.of {
            Measured::Page => (svg::read(&text, path, scale)?, scale),
            Measured::Drawing => svg::read_drawing(&text, path, scale)?,
        };
        let mut artwork = Artwork::new(read.design, read.findings)?;
        artwork.svg = Some((text, scale));
        Ok(artwork)
    }
}

/// A design as JSON.
struct DesignJson;

impl Reader for DesignJson {
    fn name(&self) -> &str {
        "design JSON"
    }

    fn endings(&self) -> &[&str] {
        &["design.json"]
    }

    fn likeness(&self, bytes: &[u8]) -> Likeness {
        begins(bytes, b"{", Likeness::Some)
    }

    fn read(&self, path: &Path, bytes: &[u8], _asked: &Asked<'_>) -> Result<Artwork, Failed> {
        Artwork::new(design_json::read(&text(path, bytes)?, path)?, Vec::new())
    }
}

/// A machine file.
struct Dst;

impl Reader for Dst {
    fn name(&self) -> &str {
        "DST"
    }

    fn endings(&self) -> &[&str] {
        &["dst"]
    }

    fn likeness(&self, bytes: &[u8]) -> Likeness {
        begins(bytes, b"LA:", Likeness::Sure)
    }

    fn read(&self, path: &Path, bytes: &[u8], asked: &Asked<'_>) -> Result<Artwork, Failed> {
        let (design, findings) = dst::read_for(bytes, path, asked.machine)?;
        Ok(Artwork::new(design, findings)?.without_colours())
    }
}

fn begins(bytes: &[u8], mark: &[u8], likeness: Likeness) -> Likeness {
    let bytes = bytes.strip_prefix(MARK.as_bytes()).unwrap_or(bytes);
    if bytes.trim_ascii_start().starts_with(mark) {
        likeness
    } else {
        Likeness::None
    }
}

fn text(path: &Path, bytes: &[u8]) -> Result<String, Failed> {
    let text = to_text(path, bytes.to_vec());
    Ok(text.map_err(|problem| problem.help("Save it again with the encoding UTF-8."))?)
}
