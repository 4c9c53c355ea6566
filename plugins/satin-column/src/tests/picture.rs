//! Pictures to look at: `HOOPWRIGHT_PICTURES=folder cargo test -p hoopwright-satin-column pictures -- --ignored`.

use super::shapes::{all_lines, all_regions};
use super::thread;
use crate::{SatinColumn, satin_column};
use hoopwright_sdk::prelude::*;
use std::fmt::Write;

#[test]
#[ignore = "writes pictures"]
fn pictures() {
    let folder = std::env::var("HOOPWRIGHT_PICTURES").expect("HOOPWRIGHT_PICTURES names a folder");
    let regions = all_regions()
        .into_iter()
        .map(|(name, area)| (name, Object::of_region(name, &area)));
    let lines = all_lines()
        .into_iter()
        .map(|(name, line, width)| (name, Object::of_line(name, &line, width)));
    for (name, object) in regions.chain(lines) {
        draw(&folder, name, object);
    }
}

pub fn draw(folder: &str, name: &str, object: Object) {
    let sewn = satin_column(object, &thread(), &SatinColumn::default()).expect("sewn");
    for finding in messages::take() {
        println!("{name}: {}", finding.message);
    }
    std::fs::write(format!("{folder}/{name}.svg"), svg(&sewn)).expect("written");
}

fn svg(object: &Object) -> String {
    let stitches: Vec<Stitch> = stitches_of(&object.stitches).collect();
    let bound = |f: fn(f64, f64) -> f64, pick: fn(&Stitch) -> f64| {
        stitches.iter().map(pick).reduce(f).unwrap_or(0.0)
    };
    let (x0, x1) = (
        bound(f64::min, |s| s.at.x) - 2.0,
        bound(f64::max, |s| s.at.x) + 2.0,
    );
    let (y0, y1) = (
        bound(f64::min, |s| s.at.y) - 2.0,
        bound(f64::max, |s| s.at.y) + 2.0,
    );
    let mut out = format!(
        "<svg xmlns='http://www.w3.org/2000/svg' width='{}' height='{}' viewBox='{x0} {y0} {} {}'><rect x='{x0}' y='{y0}' width='100%' height='100%' fill='white'/>",
        (x1 - x0) * 30.0,
        (y1 - y0) * 30.0,
        x1 - x0,
        y1 - y0
    );
    if let Shape::Region(region) = &object.shape {
        for polygon in region.to_multi_polygon() {
            for ring in std::iter::once(polygon.exterior()).chain(polygon.interiors()) {
                let points: String = ring.0.iter().map(|c| format!("{},{} ", c.x, c.y)).collect();
                let _ = write!(
                    out,
                    "<polygon points='{points}' fill='none' stroke='#0a0' stroke-width='0.08'/>"
                );
            }
        }
    }
    for pair in stitches.windows(2) {
        let colour = match (pair[1].kind, pair[1].role) {
            (StitchKind::Jump, _) => "#f0f",
            (_, StitchRole::Underlay) => "#d80",
            (_, StitchRole::Travel) => "#d00",
            _ => "#36c",
        };
        let _ = write!(
            out,
            "<line x1='{}' y1='{}' x2='{}' y2='{}' stroke='{colour}' stroke-width='0.06'/>",
            pair[0].at.x, pair[0].at.y, pair[1].at.x, pair[1].at.y
        );
    }
    for stitch in &stitches {
        let _ = write!(
            out,
            "<circle cx='{}' cy='{}' r='0.06' fill='black'/>",
            stitch.at.x, stitch.at.y
        );
    }
    if let Some(first) = stitches.first() {
        let _ = write!(
            out,
            "<circle cx='{}' cy='{}' r='0.3' fill='none' stroke='red' stroke-width='0.1'/>",
            first.at.x, first.at.y
        );
    }
    out.push_str("</svg>");
    out
}
