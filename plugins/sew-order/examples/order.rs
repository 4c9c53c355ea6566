//! Orders the designs given as JSON on the standard input, for a check from outside: tests/oracle/order.py.
//!
//! `cargo run --release -p hoopwright-sew-order --example order < designs.json`
//!
//! In: `{"settings": {...}, "designs": [[{"thread": 0, "polygons": [{"outer": [[x, y], ...],
//! "holes": [...]}]}, ...], ...]}`. Out, for each design: its order, the pairs that must keep theirs,
//! what the order costs, and what it cannot go below.

use hoopwright_sdk::Polygon;
use hoopwright_sdk::prelude::*;
use hoopwright_sdk::serde_json::{self, Value, json};
use hoopwright_sew_order::{SewOrder, plan};
use std::error::Error;

type Ring = Vec<(f64, f64)>;

fn main() -> Result<(), Box<dyn Error>> {
    let given: Value = serde_json::from_reader(std::io::stdin())?;
    let settings: SewOrder = serde_json::from_value(given["settings"].clone())?;
    let designs = given["designs"].as_array().ok_or("designs are missing")?;
    let done: Result<Vec<Value>, Box<dyn Error>> = designs
        .iter()
        .map(|objects| Ok(ordered(&design(objects)?, &settings)))
        .collect();
    println!("{}", serde_json::to_string(&done?)?);
    Ok(())
}

fn ordered(design: &Design, settings: &SewOrder) -> Value {
    let selected: Vec<usize> = (0..design.objects.len()).collect();
    let plan = plan(design, &selected, settings);
    json!({
        "order": plan.order,
        "before": plan.before,
        "changes": plan.reached.changes,
        "trims": plan.reached.trims,
        "incoming": { "changes": plan.incoming.changes, "trims": plan.incoming.trims },
        "at-least": { "changes": plan.at_least.changes, "trims": plan.at_least.trims },
    })
}

fn design(objects: &Value) -> Result<Design, Box<dyn Error>> {
    let objects = objects.as_array().ok_or("a design is a list of objects")?;
    let objects: Result<Vec<Object>, Box<dyn Error>> = objects
        .iter()
        .enumerate()
        .map(|(place, given)| {
            let polygons = given["polygons"].as_array().ok_or("polygons are missing")?;
            let polygons: Result<Vec<Polygon>, Box<dyn Error>> =
                polygons.iter().map(polygon).collect();
            let region = Region {
                polygons: polygons?,
            };
            let mut object = Object::new(&format!("{place:04}"), Shape::Region(region));
            object.thread = serde_json::from_value(given["thread"].clone())?;
            Ok(object)
        })
        .collect();
    Ok(Design::on_page(100.0, 100.0, objects?))
}

fn polygon(given: &Value) -> Result<Polygon, Box<dyn Error>> {
    let holes: Vec<Ring> = serde_json::from_value(given["holes"].clone())?;
    Ok(Polygon {
        outer: ring(serde_json::from_value(given["outer"].clone())?),
        holes: holes.into_iter().map(ring).collect(),
    })
}

fn ring(corners: Ring) -> Polyline {
    Polyline::new(corners.into_iter().map(|(x, y)| Coord { x, y }), true)
}
