//! The same work by general-purpose libraries from PyPI, by turns in one run: `tests/oracle/speed.py` times
//! itself, and gets its orders line by line.

use crate::figures::{Figure, ratio, time, whole as commas};
use crate::owls::{Owls, root};
use crate::timing::{Pairs, Patience, timed};
use crate::workshop::{Workshop, scratch, unwatched};
use hoopwright::design::{Design, Region, Shape};
use hoopwright::formats::dst;
use hoopwright::pipeline;
use hoopwright_geometry::scan;
use serde_json::{Value, json};
use std::io::{BufRead as _, BufReader, Write as _};
use std::path::Path;
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::time::Duration;

/// From a row of the fill to the next, in mm.
const PITCH: f64 = 0.2;

/// The libraries, in a process that waits for orders.
struct Libraries {
    process: Child,
    orders: ChildStdin,
    answers: BufReader<ChildStdout>,
}

/// Writing and reading a machine file, and clipping the rows of a fill.
pub fn measure(shop: &Workshop, owls: Owls, patience: Patience) -> Vec<Figure> {
    let python = root().join("target/oracle/bin/python");
    if !python.is_file() {
        let words = "not measured: see DEVELOPERS.md for the Python environment target/oracle";
        return vec![Figure::new("beside the libraries of PyPI", words)];
    }
    let mut libraries = Libraries::start(&python);
    let design = shop.wound(&shop.read(&owls.svg()));
    let largest = largest(&design);
    let sandbox = shop.plugins.sandbox();
    let sewn = pipeline::run(&shop.checked, design, sandbox, None, &unwatched());
    let mut figures = machine_file(shop, &mut libraries, &sewn.unwrap().design, patience);
    figures.push(clipping(&mut libraries, &largest, patience));
    libraries.end();
    figures
}

fn machine_file(
    shop: &Workshop,
    libraries: &mut Libraries,
    sewn: &Design,
    patience: Patience,
) -> Vec<Figure> {
    let machine = &shop.checked.pipeline.machine;
    let written = dst::write(sewn, machine).unwrap();
    let file = scratch().join("owls.dst");
    std::fs::write(&file, &written.bytes).unwrap();
    let records = libraries.ask(json!({ "do": "open", "file": file }))["records"].as_u64();
    let records = commas(records.unwrap() as usize);
    let write = Pairs::by_turns(
        patience,
        || timed(|| dst::write(sewn, machine).unwrap()).1,
        || libraries.timed("write"),
    );
    let read = Pairs::by_turns(
        patience,
        || timed(|| dst::read_for(&written.bytes, &file, machine).unwrap()).1,
        || libraries.timed("read"),
    );
    vec![
        compared(
            &format!("DST of {records} records written: the file library from PyPI / Hoopwright"),
            &write,
        ),
        compared(
            &format!("DST of {records} records read: the file library from PyPI / Hoopwright"),
            &read,
        ),
    ]
}

fn clipping(libraries: &mut Libraries, region: &Region, patience: Patience) -> Figure {
    let area = region.to_multi_polygon();
    let ring = |line: &geo::LineString<f64>| -> Vec<[f64; 2]> {
        line.coords().map(|corner| [corner.x, corner.y]).collect()
    };
    let polygons: Vec<Value> = area
        .iter()
        .map(|polygon| {
            let holes: Vec<_> = polygon.interiors().iter().map(ring).collect();
            json!([ring(polygon.exterior()), holes])
        })
        .collect();
    let rows = scan::rows(&area, PITCH, 0.0);
    let spans: Vec<f64> = rows
        .iter()
        .flat_map(|row| &row.spans)
        .map(scan::Span::length)
        .collect();
    let levels: Vec<f64> = rows.iter().map(|row| row.y).collect();
    let length: f64 = spans.iter().sum();
    let clipped = libraries.ask(json!({ "do": "region", "polygons": polygons, "levels": levels }));
    let theirs = clipped["length"].as_f64().unwrap();
    assert!(
        (theirs - length).abs() <= 1e-6 * length,
        "{length} mm of rows here, {theirs} mm there"
    );
    let pairs = Pairs::by_turns(
        patience,
        || timed(|| scan::rows(&area, PITCH, 0.0)).1,
        || libraries.timed("clip"),
    );
    let what = format!(
        "{} rows clipped to a region of {} corners: shapely / Hoopwright",
        commas(rows.len()),
        commas(polygons_corners(&area))
    );
    compared(&what, &pairs)
}

fn polygons_corners(area: &geo::MultiPolygon<f64>) -> usize {
    let rings = area
        .iter()
        .flat_map(|polygon| polygon.interiors().iter().chain([polygon.exterior()]));
    rings.map(|ring| ring.0.len() - 1).sum()
}

fn compared(what: &str, pairs: &Pairs) -> Figure {
    let words = format!(
        "{} ({} / {})",
        ratio(pairs.ratio()),
        time(pairs.second().median),
        time(pairs.first().median)
    );
    Figure::new(what, words).at_least(pairs.ratio().median, 1.0, "1")
}

/// The region with the most corners.
fn largest(design: &Design) -> Region {
    let regions = design
        .objects
        .iter()
        .filter_map(|object| match &object.shape {
            Shape::Region(region) => Some(region),
            _ => None,
        });
    let corners = |region: &&Region| polygons_corners(&region.to_multi_polygon());
    regions.max_by_key(corners).unwrap().clone()
}

impl Libraries {
    fn start(python: &Path) -> Self {
        let mut process = Command::new(python)
            .arg(root().join("tests/oracle/speed.py"))
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        Self {
            orders: process.stdin.take().unwrap(),
            answers: BufReader::new(process.stdout.take().unwrap()),
            process,
        }
    }

    fn ask(&mut self, order: Value) -> Value {
        writeln!(self.orders, "{order}").unwrap();
        let mut line = String::new();
        self.answers.read_line(&mut line).unwrap();
        serde_json::from_str(&line).unwrap()
    }

    /// How long the libraries' processor was at it, by their own clock.
    fn timed(&mut self, order: &str) -> Duration {
        let answer = self.ask(json!({ "do": order }));
        Duration::from_secs_f64(answer["seconds"].as_f64().unwrap())
    }

    fn end(self) {
        let Self {
            mut process,
            orders,
            ..
        } = self;
        drop(orders);
        assert!(process.wait().unwrap().success());
    }
}
