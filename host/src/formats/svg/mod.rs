//! Flat SVG artwork, read into a design without stitches.
//!
//! The way of the data: [`source`] reads the XML and knows what each element is called and where
//! it stands; [`references`] and [`arcs`] refuse what would never end; usvg resolves styles, references and
//! transforms into plain paths; [`page`] finds how many millimetres a unit is ([`fitted`] where the drawing is
//! given a size, not its page); [`origin`] tells
//! which element each path came from; [`drawing`] walks the paths in paint order and makes
//! objects of them, with [`outline`], [`painted`], [`clip`], [`edge`], [`paint`], [`palette`] and
//! [`names`]. [`survey`] and [`styles`] then look through the XML for what has no path, with [`sheets`],
//! [`placing`], [`symbols`] and [`unread`]; [`on_page`] looks at the whole. [`spelling`] comes before all this.
//! Everything that is left out or stands for something else is a finding ([`remarks`]).

mod arcs;
mod clip;
mod css;
mod drawing;
mod edge;
mod findings;
mod fitted;
mod names;
mod on_page;
mod origin;
mod outline;
mod page;
mod paint;
mod painted;
mod palette;
mod placing;
mod references;
mod remarks;
pub mod render;
mod sheets;
mod source;
mod spelling;
mod styles;
mod survey;
mod symbols;
mod tangle;
#[cfg(test)]
mod tests;
mod unread;

pub use fitted::read_drawing;

use crate::design::Design;
use crate::diagnostics::{Diagnostic, Failed};
use findings::Findings;
use kurbo::Affine;
use source::Source;
use std::path::Path;

/// The longest text that is read, in bytes. No flat drawing comes near it.
pub const LONGEST: usize = 64 << 20;

/// Room for usvg's recursion, which goes as deep as the elements are nested (it stops at 1,024).
const STACK: usize = 256 << 20;

/// How large the artwork's page becomes. All values in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Scale {
    /// As the file says: a CSS px is 25.4/96 mm.
    AsDrawn,
    /// The page this wide.
    Width(f64),
    /// The page this high.
    Height(f64),
    /// The page as large as it can be inside this rectangle.
    Within {
        /// The greatest width.
        width: f64,
        /// The greatest height.
        height: f64,
    },
    /// A CSS px so many mm.
    By(f64),
}

impl Scale {
    /// Whether it is a width, a height or both that something is to have.
    fn sizes_a_box(self) -> bool {
        !matches!(self, Self::AsDrawn | Self::By(_))
    }
}

/// What was read.
#[derive(Debug)]
pub struct Reading {
    /// One object per painted element and paint, in paint order, without stitches.
    pub design: Design,
    /// What was left out, flattened or taken for granted.
    pub findings: Vec<Diagnostic>,
    /// How many mm a CSS px of the page has become.
    pub mm_per_px: f64,
}

/// Reads the SVG `text` of `file`.
///
/// The design's page is the artwork's, with its top-left corner at (0, 0). A fill becomes a
/// cleaned region and a stroke becomes lines with a width; curves are flattened to within
/// 0.01 mm. Nothing is fetched: no file, address or font that the artwork names.
///
/// # Errors
/// Where the text is not XML or not SVG, where the page or `scale` has no sound size, and where
/// nothing is painted; with all findings up to there.
pub fn read(text: &str, file: &Path, scale: Scale) -> Result<Reading, Failed> {
    if text.len() > LONGEST {
        let message = format!(
            "the artwork is {} MB long; at most {} MB are read",
            text.len() >> 20,
            LONGEST >> 20
        );
        return Err(Diagnostic::error("artwork-too-long", message)
            .in_file(file)
            .help("simplify the drawing, or take out embedded pictures")
            .into());
    }
    let text = &*spelling::corrected(text);
    // A thread of its own gives usvg the stack it needs, and keeps a panic of its inside.
    let outcome = std::thread::scope(|scope| {
        std::thread::Builder::new()
            .name("svg".to_owned())
            .stack_size(STACK)
            .spawn_scoped(scope, || read_here(text, file, scale))
            .map(|reading| reading.join())
    });
    let broken = |message: String| {
        let error = Diagnostic::error("artwork-unreadable", message);
        Err(Failed::from(error.in_file(file)))
    };
    match outcome {
        Ok(Ok(result)) => result,
        Ok(Err(_)) => broken("the SVG reader broke down on this artwork".to_owned()),
        Err(error) => broken(format!("no thread could be started for reading: {error}")),
    }
}

fn read_here(text: &str, file: &Path, scale: Scale) -> Result<Reading, Failed> {
    let source = Source::parse(text, file)?;
    styles::check(&source)?;
    references::check(&source)?;
    arcs::check(&source)?;
    page::check(&source)?;
    let mut findings = Findings::new(&source);
    let tree = match usvg::Tree::from_xmltree(&source.xml, &origin::options()) {
        Ok(tree) => tree,
        Err(error) => {
            findings.error(page::tree_error(&source, &error));
            return Err(Failed(findings.into_sorted()));
        }
    };
    let page = match page::Page::new(&tree, scale, &source, &mut findings) {
        Ok(page) => page,
        Err(error) => {
            findings.error(error);
            return Err(Failed(findings.into_sorted()));
        }
    };
    let origins = origin::of_paths(&source);
    let drawing = drawing::draw(&tree, &page, &source, &origins, &mut findings);
    survey::survey(&source, &drawing.seen, &mut findings);
    if let Some(error) = drawing.error {
        findings.error(error);
        return Err(Failed(findings.into_sorted()));
    }
    if drawing.objects.is_empty() {
        findings.error(
            Diagnostic::error("nothing-painted", "nothing in the artwork is painted")
                .in_file(file)
                .help("draw at least one shape with a fill or a stroke on the page"),
        );
        return Err(Failed(findings.into_sorted()));
    }
    let design = Design {
        title: source.title(),
        page: page.rectangle(),
        threads: drawing.palette.into_threads(),
        objects: drawing.objects,
    };
    on_page::look(&design, page.rect(), scale, &source, &mut findings);
    Ok(Reading {
        design,
        findings: findings.into_sorted(),
        mm_per_px: page.mm_per_px,
    })
}

/// usvg's transforms in double precision, which the way to millimetres is worth.
fn to_affine(transform: usvg::Transform) -> Affine {
    let usvg::Transform {
        sx,
        kx,
        ky,
        sy,
        tx,
        ty,
    } = transform;
    Affine::new([sx, ky, kx, sy, tx, ty].map(f64::from))
}
