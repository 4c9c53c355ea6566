//! Artwork in: whatever the customer sent, as a design.

use crate::design::Design;
use crate::diagnostics::{Diagnostic, Failed};
use crate::formats::{design_json, dst, svg};
use crate::pipeline::Size;
use std::path::Path;

/// The largest artwork read, in MiB. Flat artwork is seldom over one.
pub(crate) const LARGEST_MIB: u64 = 64;

/// The forms that artwork comes in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// Flat vector artwork.
    Svg,
    /// A design as JSON.
    DesignJson,
    /// A machine file.
    Dst,
}

impl Form {
    /// The form of a file, by its first bytes and then by the end of its name.
    pub fn of(path: &Path, bytes: &[u8]) -> Option<Self> {
        let start = bytes.trim_ascii_start();
        if start.starts_with(b"LA:") {
            return Some(Self::Dst);
        }
        let ending = path.extension().and_then(|ending| ending.to_str());
        match ending.map(str::to_ascii_lowercase).as_deref() {
            Some("svg") => Some(Self::Svg),
            Some("json") => Some(Self::DesignJson),
            Some("dst") => Some(Self::Dst),
            _ if start.starts_with(b"<") => Some(Self::Svg),
            _ if start.starts_with(b"{") => Some(Self::DesignJson),
            _ => None,
        }
    }
}

/// What files made of the artwork in `path` are called, before their endings.
pub fn name_of(path: &Path) -> String {
    let name = path.file_stem().unwrap_or_default().to_string_lossy();
    name.strip_suffix(".design").unwrap_or(&name).to_owned()
}

/// Reads a whole file that is not larger than `most_mib`.
///
/// # Errors
/// A diagnostic that names the file.
pub fn read_bytes(path: &Path, most_mib: u64) -> Result<Vec<u8>, Diagnostic> {
    use std::io::Read as _;
    let unreadable = |why: String| {
        Diagnostic::error(
            "unreadable",
            format!("{} cannot be read: {why}", path.display()),
        )
    };
    let mut bytes = Vec::new();
    std::fs::File::open(path)
        .and_then(|file| file.take((most_mib << 20) + 1).read_to_end(&mut bytes))
        .map_err(|error| unreadable(error.to_string()))?;
    if bytes.len() as u64 > most_mib << 20 {
        return Err(unreadable(format!("it is larger than {most_mib} MiB")));
    }
    Ok(bytes)
}

/// Reads a whole text file that is not larger than `most_mib`.
///
/// # Errors
/// A diagnostic that names the file.
pub fn read_text(path: &Path, most_mib: u64) -> Result<String, Diagnostic> {
    to_text(path, read_bytes(path, most_mib)?)
}

fn to_text(path: &Path, bytes: Vec<u8>) -> Result<String, Diagnostic> {
    String::from_utf8(bytes)
        .map_err(|_| Diagnostic::error("not-text", format!("{} is not UTF-8 text", path.display())))
}

/// Artwork that was read.
#[derive(Clone, Debug)]
pub struct Artwork {
    /// As a design.
    pub design: Design,
    /// What was noticed.
    pub findings: Vec<Diagnostic>,
    /// The text of an SVG and the size that it was read at, for whoever paints it.
    pub svg: Option<(String, svg::Scale)>,
}

/// Reads artwork, at the size that the pipeline asks for, as a design, with what was noticed. A
/// machine file is read as for a machine with the usual settings.
///
/// # Errors
/// Everything that keeps the file from being read.
pub fn read(path: &Path, size: Size) -> Result<(Design, Vec<Diagnostic>), Failed> {
    read_for(path, size, &dst::Machine::default())
}

/// Reads like [`read`], a machine file as `machine` would sew it: how many jumps in a row cut the
/// thread is the machine's own setting, and the file does not tell.
///
/// # Errors
/// Everything that keeps the file from being read; or a setting of the machine is out of range.
pub fn read_for(
    path: &Path,
    size: Size,
    machine: &dst::Machine,
) -> Result<(Design, Vec<Diagnostic>), Failed> {
    read_whole(path, size, machine).map(|artwork| (artwork.design, artwork.findings))
}

/// Reads like [`read_for`], and keeps what the artwork can be painted from.
///
/// # Errors
/// As [`read_for`].
pub fn read_whole(path: &Path, size: Size, machine: &dst::Machine) -> Result<Artwork, Failed> {
    let bytes = read_bytes(path, LARGEST_MIB)?;
    let Some(form) = Form::of(path, &bytes) else {
        return Err(Diagnostic::error(
            "unknown-form",
            format!("{} is neither SVG, design JSON nor DST", path.display()),
        )
        .help("Save the artwork as plain SVG.")
        .into());
    };
    let text = |bytes| {
        to_text(path, bytes)
            .map_err(|problem| problem.help("Save it again with the encoding UTF-8."))
    };
    let mut painted = None;
    let (mut design, mut findings) = match form {
        Form::Svg => {
            let text = text(bytes)?;
            let scale = match (size.width, size.height) {
                (None, None) => svg::Scale::AsDrawn,
                (Some(width), None) => svg::Scale::Width(width),
                (None, Some(height)) => svg::Scale::Height(height),
                (Some(width), Some(height)) => svg::Scale::Within { width, height },
            };
            let artwork = svg::read(&text, path, scale)?;
            painted = Some((text, scale));
            (artwork.design, artwork.findings)
        }
        Form::DesignJson => (design_json::read(&text(bytes)?, path)?, Vec::new()),
        Form::Dst => dst::read_for(&bytes, path, machine)?,
    };
    if form != Form::Svg && size != Size::default() {
        findings.push(
            Diagnostic::note(
                "size-kept",
                "a design's size is its own; the pipeline's \"artwork\" is not used",
            )
            .in_file(path),
        );
    }
    crate::rack::tag_colours(&mut design);
    Ok(Artwork {
        design,
        findings,
        svg: painted,
    })
}
