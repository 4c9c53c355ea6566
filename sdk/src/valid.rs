//! What a design must hold before it may cross into a step or a file.

use super::{Design, Object, Polyline, Shape};
use std::collections::BTreeSet;

/// The farthest a coordinate may lie from the origin, in mm. No hoop is near so large; beyond
/// it a plan would only burn time.
pub const FARTHEST: f64 = 10_000.0;

/// Everything that is wrong with `design`, as sentences; nothing where it is sound.
pub fn problems(design: &Design) -> Vec<String> {
    let mut problems = Vec::new();
    let page = &design.page;
    let corners = [page.least.x, page.least.y, page.greatest.x, page.greatest.y];
    if corners.iter().any(|&v| !sound(v)) {
        problems.push(format!("the page has {}", unsound_words(&corners)));
    }
    let mut ids = BTreeSet::new();
    let mut twice = BTreeSet::new();
    for object in &design.objects {
        if !ids.insert(object.id.as_str()) && twice.insert(object.id.as_str()) {
            problems.push(format!("two objects have the id \"{}\"", object.id));
        }
        if object.thread as usize >= design.threads.len() {
            problems.push(format!(
                "object \"{}\" asks for thread {} of {}",
                object.id,
                object.thread,
                design.threads.len()
            ));
        }
        object_problems(object, &mut problems);
    }
    problems
}

/// Adds everything that is wrong with `object` by itself.
pub fn object_problems(object: &Object, problems: &mut Vec<String>) {
    let mut wrong = |what: &str| problems.push(format!("object \"{}\" {what}", object.id));
    let mut lines: Vec<&Polyline> = Vec::new();
    match &object.shape {
        Shape::Region(region) => {
            for polygon in &region.polygons {
                lines.push(&polygon.outer);
                lines.extend(&polygon.holes);
            }
            if lines.iter().any(|ring| !ring.closed) {
                wrong("has a region with an edge that is not closed");
            }
        }
        Shape::Lines(drawn) => {
            lines.extend(&drawn.paths);
            if !sound(drawn.width) || drawn.width < 0.0 {
                wrong("has a line width that is not a length");
            }
        }
        Shape::Manual => {}
    }
    let columns = lines
        .iter()
        .map(|line| (&line.x, &line.y))
        .chain(object.stitches.iter().map(|block| (&block.x, &block.y)));
    for (x, y) in columns {
        if x.len() != y.len() {
            wrong(&format!(
                "has columns of unequal length: {} x and {} y",
                x.len(),
                y.len()
            ));
        }
        if !x.iter().chain(y).all(|&v| sound(v)) {
            let all: Vec<f64> = x.iter().chain(y).copied().collect();
            wrong(&format!("has {}", unsound_words(&all)));
            break;
        }
    }
    let sewing = &object.sewing;
    let marks = sewing
        .direction_marks
        .iter()
        .flat_map(|mark| [mark.tail, mark.head]);
    let places: Vec<f64> = sewing
        .start
        .iter()
        .chain(&sewing.finish)
        .copied()
        .chain(marks)
        .flat_map(|point| [point.x, point.y])
        .chain(sewing.angle)
        .chain(sewing.density)
        .chain(sewing.stitch_length)
        .collect();
    if !places.iter().all(|&v| sound(v)) {
        wrong(&format!(
            "has, in its sewing settings, {}",
            unsound_words(&places)
        ));
    }
    let positive = |v: Option<f64>| v.is_none_or(|v| v > 0.0);
    if !positive(sewing.density) || !positive(sewing.stitch_length) {
        wrong("has a density or stitch length that is not above 0");
    }
}

fn sound(v: f64) -> bool {
    v.is_finite() && v.abs() <= FARTHEST
}

fn unsound_words(values: &[f64]) -> String {
    if values.iter().any(|v| !v.is_finite()) {
        "a coordinate that is not a finite number".to_owned()
    } else {
        format!("a coordinate farther than {FARTHEST} mm from the origin")
    }
}
