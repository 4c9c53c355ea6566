//! Sews lines, and the edges of regions, as run.
//!
//! The way through the crate: [`drawn`] takes the lines from the shape, [`route`] puts them into
//! an order and a direction, [`chain`] makes one line of those that touch, [`passes`] places the
//! needle along it once, twice or three times, and [`sew`] lays the stitches.

mod chain;
mod drawn;
mod passes;
mod route;
mod sew;

pub use passes::Passes;

use hoopwright_sdk::prelude::*;

settings! {
    /// Sews each line of an object, or the edges of a region, as a row of stitches.
    pub struct LineRun {
        /// How often the thread passes along each line: once, there and back, or three times.
        pub passes: Passes = Passes::Single;
        /// Longest stitch. Run is sewn with 1 to 5 mm, triple run mostly with 1.5 to 3 mm; an
        /// object's own stitch length wins. Bends get shorter stitches.
        pub stitch_length: f64 = 2.5, in "mm", from 0.5 to 12.0;
        /// Shortest stitch. Small bends are rounded off rather than sewn with shorter stitches;
        /// at most half of the longest stitch is used.
        pub shortest_stitch: f64 = 1.0, in "mm", from 0.3 to 6.0;
        /// Corners that turn by at least this much always get a needle point, so that they stay sharp.
        pub corner: f64 = 30.0, in "degrees", from 5.0 to 180.0;
        /// How far the sewn line may stray from the drawn one in a bend. Less makes shorter stitches.
        pub tolerance: f64 = 0.1, in "mm", from 0.02 to 1.0;
        /// Of a region: how far inside its edges the run lies; negative is outside.
        pub inset: f64 = 0.0, in "mm", from -10.0 to 10.0;
        /// Adds the run after the stitches that the object has already, instead of replacing them.
        pub add: bool = false;
    }
}

/// Sews the lines of `object`: the step itself.
///
/// # Errors
/// None at present: what cannot be sewn is reported as a finding.
pub fn line_run(
    mut object: Object,
    _thread: &Thread,
    settings: &LineRun,
) -> Result<Object, Failure> {
    let lines = match drawn::lines_of(&object, settings.inset) {
        Ok(lines) => lines,
        Err(finding) => {
            messages::report(finding);
            return Ok(object);
        }
    };
    object.stitches = sew::sew(&object, lines, settings);
    Ok(object)
}

object_step! {
    name: "line-run",
    summary: "Sews lines, and the edges of regions, as single, double or triple run.",
    manual: "\
Sews thin lines: outlines, whiskers, veins, lettering too small for satin. Of a region it sews the
edges, holes included, which also makes an edge run under a satin or a fill (`inset` 0.4, `add`).

**Passes.** *Single* for what lies under other stitches or should look light. *Double* goes there
and back and ends where it began. *Triple* sews each stitch forward, back and forward again before
the next, so that the three threads lie together even where the cloth gives; it ends at the line's
far end. Use it for outlines that should be seen. It puts the needle three times into each hole:
keep stitches at 1.5 mm or more.

**Several lines in one object** are sewn nearest end first. Ends that touch go on without a jump;
between others the object gets one jump, which `ties-and-trims` can turn into a trim.

**Before**: `join-outlines`, where lines meet, so that a connected outline is one trail.
**After**: `ties-and-trims`; this step puts no ties.

Lines that stay within 0.3 mm cannot be sewn and are reported.",
    settings: LineRun,
    process: line_run,
}

#[cfg(test)]
mod tests;
