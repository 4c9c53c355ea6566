//! The seam through which products go out: one writer for each, the stock ones and your own.

use super::Sewn;
use crate::diagnostics::Failed;
use crate::formats::design_json;
use crate::{playback, worksheet};

/// Makes one product of what was sewn.
///
/// The example `a_writer_of_your_own` has one.
pub trait Writer: Send + Sync {
    /// How the product's name ends, without the first dot, such as `worksheet.html`.
    fn ending(&self) -> &str;

    /// The product's bytes. Nothing is written here: all products are, or none.
    ///
    /// # Errors
    /// Why it cannot be made; then no product is written.
    fn write(&self, sewn: &Sewn) -> Result<Vec<u8>, Failed>;
}

/// Products that are made one by one of what was sewn. Pictures, prints and the report are not among
/// them: those are drawn together, and always made.
pub struct Writers(Vec<Box<dyn Writer>>);

impl Default for Writers {
    fn default() -> Self {
        Self::stock()
    }
}

impl Writers {
    /// Machine file, design, preview, playback and worksheet.
    pub fn stock() -> Self {
        Self(vec![
            Box::new(MachineFile),
            Box::new(DesignJson),
            Box::new(Preview),
            Box::new(Playback),
            Box::new(WorksheetPage),
        ])
    }

    /// These and one more, which takes the place of one with the same ending.
    #[must_use]
    pub fn with(mut self, writer: impl Writer + 'static) -> Self {
        self.0.retain(|other| other.ending() != writer.ending());
        self.0.push(Box::new(writer));
        self
    }

    /// The ends of the products' names.
    pub fn endings(&self) -> impl Iterator<Item = &str> {
        self.0.iter().map(|writer| writer.ending())
    }

    /// All products, each with the end of its name.
    ///
    /// # Errors
    /// Why one of them cannot be made.
    pub fn write(&self, sewn: &Sewn) -> Result<Vec<(String, Vec<u8>)>, Failed> {
        let made = self.0.iter();
        made.map(|writer| Ok((writer.ending().to_owned(), writer.write(sewn)?)))
            .collect()
    }
}

/// What the machine sews.
struct MachineFile;

impl Writer for MachineFile {
    fn ending(&self) -> &str {
        "dst"
    }

    fn write(&self, sewn: &Sewn) -> Result<Vec<u8>, Failed> {
        Ok(sewn.written.bytes.clone())
    }
}

/// The sewn design, for other pipelines.
struct DesignJson;

impl Writer for DesignJson {
    fn ending(&self) -> &str {
        "design.json"
    }

    fn write(&self, sewn: &Sewn) -> Result<Vec<u8>, Failed> {
        Ok(design_json::write(&sewn.design).into_bytes())
    }
}

/// A look at the stitches.
struct Preview;

impl Writer for Preview {
    fn ending(&self) -> &str {
        "preview.svg"
    }

    fn write(&self, sewn: &Sewn) -> Result<Vec<u8>, Failed> {
        Ok(sewn.preview.clone().into_bytes())
    }
}

/// The sewing, stitch by stitch.
struct Playback;

impl Writer for Playback {
    fn ending(&self) -> &str {
        "playback.html"
    }

    fn write(&self, sewn: &Sewn) -> Result<Vec<u8>, Failed> {
        let artwork = playback::Artwork::of(sewn.artwork.design());
        let route = &sewn.written.route;
        let page = playback::html(&sewn.design, route, &sewn.machine, artwork.as_ref());
        Ok(page.into_bytes())
    }
}

/// What the operator reads.
struct WorksheetPage;

impl Writer for WorksheetPage {
    fn ending(&self) -> &str {
        "worksheet.html"
    }

    fn write(&self, sewn: &Sewn) -> Result<Vec<u8>, Failed> {
        Ok(worksheet::html(&sewn.worksheet, &sewn.design).into_bytes())
    }
}
