//! What may be left out of a design written by hand, and what is read instead.
//!
//! The schema has the defaults, and what is left out of a text is filled in from the schema: so
//! that the two can't differ.

use crate::design::Design;
use geo::{BoundingRect, Coord, MultiPoint};
use serde_json::{Map, Value, json};
use std::path::Path;

/// Every entry that may be left out, by its type, with what is read instead.
fn defaults() -> Vec<(&'static str, &'static str, Value)> {
    let thread = json!({
        "name": "Black", "code": "", "red": 0, "green": 0, "blue": 0, "weight": 40
    });
    vec![
        ("Design", "title", json!("")),
        ("Design", "page", no_page()),
        ("Design", "threads", json!([thread])),
        ("Object", "name", json!("")),
        ("Object", "tags", json!([])),
        ("Object", "thread", json!(0)),
        ("Object", "shape", json!("Manual")),
        ("Object", "sewing", json!({})),
        ("Object", "stitches", json!([])),
        ("Sewing", "direction_marks", json!([])),
        ("Polygon", "holes", json!([])),
        ("Ring", "closed", json!(true)),
        ("Polyline", "closed", json!(false)),
        ("Lines", "width", json!(0.0)),
        ("StitchBlock", "kind", json!("Needle")),
        ("StitchBlock", "role", json!("Cover")),
        ("Thread", "name", json!("")),
        ("Thread", "code", json!("")),
        ("Thread", "weight", json!(40)),
    ]
}

/// Entries whose default follows from the rest of the file, which a schema can't compute.
const COMPUTED: [(&str, &str, &str); 3] = [
    ("Design", "title", "Left out, it is the file's name."),
    (
        "Design",
        "page",
        "Left out, it lies close around all that is drawn and sewn.",
    ),
    ("Object", "name", "Left out, it is the id."),
];

fn no_page() -> Value {
    json!({ "least": { "x": 0.0, "y": 0.0 }, "greatest": { "x": 0.0, "y": 0.0 } })
}

/// Lets `schema`, the design's, do without what has a default.
pub fn allow_leaving_out(schema: &mut Value) {
    tell_rings_from_lines(schema);
    let editors = json!({
        "type": "string",
        "description": "Where this schema stands, so that an editor completes and checks the file."
    });
    if let Some(properties) = schema["properties"].as_object_mut() {
        properties.insert("$schema".to_owned(), editors);
    }
    for (of, name, default) in defaults() {
        let this = if of == "Design" {
            Some(&mut *schema)
        } else {
            schema["$defs"].get_mut(of)
        };
        let Some(Value::Object(this)) = this else {
            continue;
        };
        if let Some(Value::Array(required)) = this.get_mut("required") {
            required.retain(|required| required != name);
        }
        let property = this.get_mut("properties").and_then(|p| p.get_mut(name));
        let Some(Value::Object(property)) = property else {
            continue;
        };
        match COMPUTED.iter().find(|(o, n, _)| (*o, *n) == (of, name)) {
            Some((_, _, words)) => {
                let said = property.get("description").and_then(Value::as_str);
                let said = format!("{} {words}", said.unwrap_or_default());
                property.insert("description".to_owned(), said.into());
            }
            None => {
                property.insert("default".to_owned(), default);
            }
        }
    }
}

/// Edges of regions are always closed, lines seldom: the two need different defaults.
fn tell_rings_from_lines(schema: &mut Value) {
    let defs = &mut schema["$defs"];
    defs["Ring"] = defs["Polyline"].clone();
    defs["Ring"]["description"] =
        "The corners of an edge that comes back to its first corner, as two columns of equal length, in mm."
            .into();
    defs["Ring"]["properties"]["closed"]["description"] = "Always true.".into();
    let ring = json!("#/$defs/Ring");
    defs["Polygon"]["properties"]["outer"]["$ref"] = ring.clone();
    defs["Polygon"]["properties"]["holes"]["items"]["$ref"] = ring;
}

/// What [`fill_in`] could not, because it follows from the design as a whole.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Missing {
    page: bool,
}

/// Fills in what `value`, which fits `schema`, leaves out. It was read from `file`.
pub fn fill_in(value: &mut Value, schema: &Value, file: &Path) -> Missing {
    let missing = Missing {
        page: value.get("page").is_none(),
    };
    if let Some(design) = value.as_object_mut() {
        design.entry("page").or_insert_with(no_page);
        let stem = file.file_stem().unwrap_or_default().to_string_lossy();
        let title = design.entry("title");
        title.or_insert_with(|| stem.trim_end_matches(".design").into());
    }
    for object in value["objects"].as_array_mut().into_iter().flatten() {
        if object.get("name").is_none() {
            object["name"] = object["id"].clone();
        }
    }
    fill(value, schema, &schema["$defs"]);
    missing
}

impl Missing {
    /// Completes the design that came of the filled-in value.
    pub fn complete(self, design: &mut Design) {
        if !self.page {
            return;
        }
        let rects = design.objects.iter().flat_map(|object| {
            let drawn = object.shape_bounds();
            drawn.into_iter().chain(object.needle_bounds())
        });
        let corners: Vec<Coord<f64>> = rects.flat_map(|rect| [rect.min(), rect.max()]).collect();
        if let Some(around) = MultiPoint::from(corners).bounding_rect() {
            design.page.least = around.min().into();
            design.page.greatest = around.max().into();
        }
    }
}

fn fill(value: &mut Value, schema: &Value, defs: &Value) {
    let named = schema["$ref"].as_str();
    if let Some(name) = named.and_then(|name| name.strip_prefix("#/$defs/")) {
        fill(value, &defs[name], defs);
    }
    match value {
        Value::Object(fields) => {
            fill_fields(fields, &schema["properties"], defs);
            for branch in schema["oneOf"].as_array().into_iter().flatten() {
                fill_fields(fields, &branch["properties"], defs);
            }
        }
        Value::Array(items) => {
            for item in items {
                fill(item, &schema["items"], defs);
            }
        }
        _ => {}
    }
}

fn fill_fields(fields: &mut Map<String, Value>, properties: &Value, defs: &Value) {
    for (name, property) in properties.as_object().into_iter().flatten() {
        if let Some(default) = property.get("default") {
            fields.entry(name).or_insert_with(|| default.clone());
        }
        if let Some(field) = fields.get_mut(name) {
            fill(field, property, defs);
        }
    }
}
