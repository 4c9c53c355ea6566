//! A reader for a form of artwork that Hoopwright does not know: a table of needle points, one a line,
//! as `thread colour, mm to the right, mm down`. Lines that follow each other in one colour are one
//! object.
//!
//! ```sh
//! cargo run --release --example a_reader_of_your_own -- stitches.points.csv out.dst
//! ```

use hoopwright::artwork::{Artwork, Asked, Reader, Readers};
use hoopwright::design::{
    Design, Object, Point, Rectangle, Shape, StitchBlock, StitchKind, StitchRole, Thread,
};
use hoopwright::diagnostics::{Diagnostic, Failed};
use hoopwright::job;
use hoopwright::output;
use hoopwright::pipeline::{self, Watch};
use hoopwright::plugins::Plugins;
use hoopwright::rack::Colour;
use hoopwright::sandbox::{Limits, Sandbox};
use std::error::Error;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Reads tables of needle points.
pub struct NeedlePoints;

impl Reader for NeedlePoints {
    fn name(&self) -> &str {
        "needle points"
    }

    fn endings(&self) -> &[&str] {
        &["points.csv"]
    }

    fn read(&self, path: &Path, bytes: &[u8], _asked: &Asked<'_>) -> Result<Artwork, Failed> {
        let text = String::from_utf8_lossy(bytes);
        let mut design = empty(path);
        let mut problems = Vec::new();
        let mut start = 0;
        for line in text.split_inclusive('\n') {
            let range = start..start + line.trim_end().len();
            start += line.len();
            if line.trim().is_empty() {
                continue;
            }
            match point(line) {
                Some((colour, x, y)) => add(&mut design, colour, x, y),
                None => problems.push(
                    Diagnostic::error("not-a-needle-point", "this is not a needle point")
                        .in_file(path)
                        .at(&text, range)
                        .help("Write it like \"#5a4632, 10.5, 20\", in mm."),
                ),
            }
        }
        if problems.is_empty() {
            Artwork::new(design, Vec::new())
        } else {
            Err(Failed(problems))
        }
    }
}

fn point(line: &str) -> Option<(Colour, f64, f64)> {
    let parts: Vec<&str> = line.split(',').map(str::trim).collect();
    let [colour, x, y] = parts[..] else {
        return None;
    };
    Some((Colour::parse(colour)?, x.parse().ok()?, y.parse().ok()?))
}

/// A design of 100 mm without anything in it.
fn empty(path: &Path) -> Design {
    Design {
        title: path.display().to_string(),
        page: Rectangle {
            least: Point { x: 0.0, y: 0.0 },
            greatest: Point { x: 100.0, y: 100.0 },
        },
        threads: Vec::new(),
        objects: Vec::new(),
    }
}

/// Sews one more point, with the thread of this colour.
fn add(design: &mut Design, colour: Colour, x: f64, y: f64) {
    let known = design
        .threads
        .iter()
        .position(|thread| Colour::of(thread) == colour);
    let thread = known.unwrap_or(design.threads.len());
    if known.is_none() {
        design.threads.push(Thread {
            name: colour.to_string(),
            code: String::new(),
            red: colour.red,
            green: colour.green,
            blue: colour.blue,
            weight: 40,
        });
    }
    if design
        .objects
        .last()
        .is_none_or(|last| last.thread as usize != thread)
    {
        let id = format!("points-{}", design.objects.len() + 1);
        design.objects.push(Object {
            thread: thread as u32,
            stitches: vec![StitchBlock {
                kind: StitchKind::Needle,
                role: StitchRole::Cover,
                x: Vec::new(),
                y: Vec::new(),
            }],
            ..Object::new(&id, Shape::Manual)
        });
    }
    let block = design
        .objects
        .last_mut()
        .and_then(|object| object.stitches.last_mut());
    if let Some(block) = block {
        block.x.push(x);
        block.y.push(y);
    }
}

/// Reads artwork of any form, this one included, adds ties and trims, and gives the machine file.
pub fn machine_file(artwork: &Path) -> Result<Vec<u8>, Box<dyn Error + Send + Sync>> {
    let sandbox = Arc::new(Sandbox::new(Limits::default(), None)?);
    let plugins = Plugins::stock(sandbox);
    let routine = r#"{ "steps": [{ "step": "ties-and-trims" }] }"#;
    let checked = pipeline::check(Path::new("routine.json"), routine.to_owned(), &plugins)?;
    let readers = Readers::stock().with(NeedlePoints);
    let artwork = readers.read(artwork, &Asked::by(&checked))?;
    let watch: Arc<dyn Watch> = Arc::new(());
    let sewn = job::sew(&checked, artwork, &plugins, None, &watch)?;
    Ok(sewn.written.bytes)
}

fn main() -> Result<(), Box<dyn Error + Send + Sync>> {
    let given: Vec<PathBuf> = std::env::args_os().skip(1).map(PathBuf::from).collect();
    let [artwork, to] = &given[..] else {
        return Err("give a table of needle points and the machine file to write".into());
    };
    let bytes = machine_file(artwork)?;
    Ok(output::write_all(&[(to.clone(), bytes)]).map_err(Failed::from)?)
}
