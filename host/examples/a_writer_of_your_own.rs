//! A writer for a product of your own: the stitches as a table, one a line, for whoever counts them in
//! a spreadsheet.
//!
//! ```sh
//! cargo run --release --example a_writer_of_your_own -- routine.json art.svg out
//! ```

use hoopwright::artwork::{Asked, Readers, name_of};
use hoopwright::design::{StitchKind, StitchRole};
use hoopwright::diagnostics::Failed;
use hoopwright::job::{self, Sewn, Writer, Writers};
use hoopwright::output;
use hoopwright::pipeline::{self, Watch};
use hoopwright::plugins::Plugins;
use hoopwright::reading::read_text;
use hoopwright::sandbox::{Limits, Sandbox};
use std::error::Error;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Writes a table of all stitches.
pub struct StitchTable;

impl Writer for StitchTable {
    fn ending(&self) -> &str {
        "stitches.csv"
    }

    fn write(&self, sewn: &Sewn) -> Result<Vec<u8>, Failed> {
        let mut table = String::from("object,kind,role,x,y\n");
        for object in &sewn.design.objects {
            for block in &object.stitches {
                let (kind, role) = (kind(block.kind), role(block.role));
                for (x, y) in block.x.iter().zip(&block.y) {
                    // Writing to a text cannot fail.
                    let _ = writeln!(table, "{},{kind},{role},{x:.2},{y:.2}", object.id);
                }
            }
        }
        Ok(table.into_bytes())
    }
}

fn kind(kind: StitchKind) -> &'static str {
    match kind {
        StitchKind::Needle => "needle",
        StitchKind::Jump => "jump",
        StitchKind::Trim => "trim",
        StitchKind::Stop => "stop",
    }
}

fn role(role: StitchRole) -> &'static str {
    match role {
        StitchRole::Underlay => "underlay",
        StitchRole::Cover => "cover",
        StitchRole::Travel => "travel",
        StitchRole::Tie => "tie",
    }
}

/// Runs the pipeline and writes all stock products and the table; gives the files that were written.
pub fn sew(
    pipeline: &Path,
    artwork: &Path,
    into: &Path,
) -> Result<Vec<PathBuf>, Box<dyn Error + Send + Sync>> {
    let sandbox = Arc::new(Sandbox::new(Limits::default(), None)?);
    let plugins = Plugins::stock(sandbox);
    let text = read_text(pipeline, 16).map_err(Failed::from)?;
    let checked = pipeline::check(pipeline, text, &plugins)?;
    let read = Readers::stock().read(artwork, &Asked::by(&checked))?;
    let watch: Arc<dyn Watch> = Arc::new(());
    let sewn = job::sew(&checked, read, &plugins, None, &watch)?;

    let writers = Writers::stock().with(StitchTable);
    let files: Vec<(PathBuf, Vec<u8>)> = sewn
        .products(&writers)?
        .files
        .into_iter()
        .map(|(ending, bytes)| (into.join(format!("{}.{ending}", name_of(artwork))), bytes))
        .collect();
    output::write_all(&files).map_err(Failed::from)?;
    Ok(files.into_iter().map(|(file, _)| file).collect())
}

fn main() -> Result<(), Box<dyn Error + Send + Sync>> {
    let given: Vec<PathBuf> = std::env::args_os().skip(1).map(PathBuf::from).collect();
    let [pipeline, artwork, into] = &given[..] else {
        return Err("give a pipeline, artwork and a folder to write into".into());
    };
    for file in sew(pipeline, artwork, into)? {
        println!("{}", file.display());
    }
    Ok(())
}
