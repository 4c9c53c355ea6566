//! What is in a file.

use super::profile::machine_of;
use super::stop::Stop;
use super::tell::Teller;
use clap::{Args, ValueHint};
use hoopwright::artwork::read_for;
use hoopwright::design::{Design, Shape, StitchKind};
use hoopwright::diagnostics::on_one_line;
use hoopwright::pipeline::Size;
use hoopwright::rack::Colour;
use serde_json::{Value, json};
use std::path::PathBuf;

/// Options of `inspect`.
#[derive(Debug, Args)]
pub struct Inspect {
    /// The file: DST, design JSON, SVG or a pack.
    #[arg(value_hint = ValueHint::FilePath)]
    pub file: PathBuf,
    /// The machine's profile, for a machine file: how many jumps in a row cut the thread. The usual
    /// machine unless given.
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub machine: Option<PathBuf>,
    /// As JSON, for scripts.
    #[arg(long)]
    pub json: bool,
}

/// Tells what is in a machine file, a design or artwork.
pub fn inspect(options: &Inspect, teller: &mut Teller) -> Result<(), Stop> {
    let machine = machine_of(options.machine.as_deref())?;
    let (design, findings) = read_for(&options.file, Size::default(), &machine)?;
    teller.tell(&findings);
    let account = account(&design);
    if options.json {
        println!("{account:#}");
        return Ok(());
    }
    println!("{}", on_one_line(design.title.clone()));
    let size = |value: &Value| match value {
        Value::Null => "nothing sewn".to_owned(),
        size => format!("{} x {} mm", size["width"], size["height"]),
    };
    println!("page     {}", size(&account["page"]));
    println!("sewn     {}", size(&account["sewn"]));
    let stitches = &account["stitches"];
    println!(
        "stitches {} needle, {} jump, {} trim, {} stop",
        stitches["needle"], stitches["jump"], stitches["trim"], stitches["stop"]
    );
    println!("\nthreads, in the order of the list");
    for (i, thread) in design.threads.iter().enumerate() {
        let words = [thread.code.as_str(), thread.name.as_str()].join(" ");
        let words = on_one_line(words.trim().to_owned());
        println!("  {:>3}  {}  {words}", i + 1, Colour::of(thread));
    }
    println!("\nobjects, in sewing order");
    for object in account["objects"].as_array().into_iter().flatten() {
        println!(
            "  {}  thread {}  {}  {} stitches  {}",
            on_one_line(object["id"].as_str().unwrap_or_default().to_owned()),
            object["thread"],
            object["shape"].as_str().unwrap_or_default(),
            object["stitches"],
            size(&object["size"]),
        );
    }
    Ok(())
}

fn account(design: &Design) -> Value {
    let size = |bounds: Option<geo::Rect<f64>>| {
        bounds.map(|rect| json!({"width": tenth(rect.width()), "height": tenth(rect.height())}))
    };
    let page = &design.page;
    let kinds = |kind: StitchKind| -> usize {
        design
            .objects
            .iter()
            .flat_map(|object| &object.stitches)
            .filter(|block| block.kind == kind)
            .map(|block| block.x.len())
            .sum()
    };
    let objects: Vec<Value> = design
        .objects
        .iter()
        .map(|object| {
            json!({
                "id": object.id,
                "name": object.name,
                "tags": object.tags,
                "thread": object.thread + 1,
                "shape": match &object.shape {
                    Shape::Region(_) => "region",
                    Shape::Lines(_) => "lines",
                    Shape::Manual => "manual",
                },
                "stitches": object.stitch_count(),
                "size": size(object.shape_bounds().or_else(|| object.needle_bounds())),
            })
        })
        .collect();
    let threads: Vec<Value> = design
        .threads
        .iter()
        .map(|thread| {
            json!({"code": thread.code, "name": thread.name, "colour": Colour::of(thread).to_string()})
        })
        .collect();
    json!({
        "title": design.title,
        "page": {
            "width": tenth(page.greatest.x - page.least.x),
            "height": tenth(page.greatest.y - page.least.y),
        },
        "sewn": size(design.needle_bounds()),
        "stitches": {
            "needle": kinds(StitchKind::Needle),
            "jump": kinds(StitchKind::Jump),
            "trim": kinds(StitchKind::Trim),
            "stop": kinds(StitchKind::Stop),
        },
        "threads": threads,
        "objects": objects,
    })
}

/// To a tenth of a millimetre, the machine's own step.
fn tenth(mm: f64) -> f64 {
    (mm * 10.0).round() / 10.0
}
