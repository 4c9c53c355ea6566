//! Artwork in: whatever the customer sent, as a design.
//!
//! [`Readers`] choose the [`Reader`] of a file by its bytes and its name.

mod forms;
mod reader;

pub use reader::{Asked, Likeness, Reader, Readers};

use crate::design::{Design, unsound};
use crate::diagnostics::{Diagnostic, Failed};
use crate::formats::dst::Machine;
use crate::formats::svg;
use crate::pipeline::{Checked, Size};
use crate::rack;
use std::path::Path;

/// The largest artwork read, in MiB. Flat artwork is seldom over one.
pub(crate) const LARGEST_MIB: u64 = 64;

/// What files made of the artwork in `path` are called, before their endings.
pub fn name_of(path: &Path) -> String {
    let name = path.file_stem().unwrap_or_default().to_string_lossy();
    name.strip_suffix(".design").unwrap_or(&name).to_owned()
}

/// Artwork that was read, or made by whoever has a design to sew.
#[derive(Clone, Debug)]
pub struct Artwork {
    design: Design,
    /// What was noticed.
    pub findings: Vec<Diagnostic>,
    /// The text of an SVG and the size that it was read at, for whoever paints it.
    svg: Option<(String, svg::Scale)>,
    /// Whether the design's threads have the colours that were drawn.
    coloured: bool,
}

impl Artwork {
    /// Takes a design as artwork, with what was noticed while it was made. Its objects get their colours
    /// as tags, so that a pipeline can select them by what was drawn.
    ///
    /// # Errors
    /// Everything that is unsound in the design, such as two objects of one id.
    pub fn new(mut design: Design, findings: Vec<Diagnostic>) -> Result<Self, Failed> {
        let unsound = unsound(&design);
        if !unsound.is_empty() {
            return Err(Failed(unsound));
        }
        rack::tag_colours(&mut design);
        Ok(Self {
            design,
            findings,
            svg: None,
            coloured: true,
        })
    }

    /// The same, of a kind of file that tells where the thread changes but not to which: the threads' colours
    /// only tell them apart, and no thread of a rack is put in their place.
    #[must_use]
    pub fn without_colours(self) -> Self {
        Self {
            coloured: false,
            ..self
        }
    }

    /// As a design.
    pub fn design(&self) -> &Design {
        &self.design
    }

    /// The design wound with the threads of the pipeline's rack, where it has one and the artwork has colours;
    /// and what is to be said of them.
    pub fn wound(&self, checked: &Checked) -> (Design, Vec<Diagnostic>) {
        let mut design = self.design.clone();
        let findings = match &checked.rack {
            Some(rack) if self.coloured => {
                let limit = checked.pipeline.rack_limit.unwrap_or(rack::FAR);
                rack::wind(&mut design, rack, limit)
            }
            Some(_) => vec![
                Diagnostic::note(
                    "no-colours",
                    "the file tells where the thread changes, not to which colour: the rack is left out of it",
                )
                .help("Thread the machine as the order says; the pictures' colours only tell the runs apart."),
            ],
            None => Vec::new(),
        };
        (design, findings)
    }

    /// The text of an SVG and the size that it was read at, for whoever paints it.
    pub(crate) fn svg(&self) -> Option<(&str, svg::Scale)> {
        let (text, scale) = self.svg.as_ref()?;
        Some((text, *scale))
    }
}

/// Reads artwork of a stock form, at the size that the pipeline asks for, as a design, with what was
/// noticed. A machine file is read as for a machine with the usual settings.
///
/// # Errors
/// Everything that keeps the file from being read.
pub fn read(path: &Path, size: Size) -> Result<(Design, Vec<Diagnostic>), Failed> {
    read_for(path, size, &Machine::default())
}

/// Reads like [`read`], a machine file as `machine` would sew it: how many jumps in a row cut the
/// thread is the machine's own setting, and the file does not tell.
///
/// # Errors
/// Everything that keeps the file from being read; or a setting of the machine is out of range.
pub fn read_for(
    path: &Path,
    size: Size,
    machine: &Machine,
) -> Result<(Design, Vec<Diagnostic>), Failed> {
    let artwork = Readers::stock().read(path, &Asked { size, machine })?;
    Ok((artwork.design, artwork.findings))
}
