//! The lines that may be joined, by thread and width.

use crate::JoinOutlines;
use crate::line::Line;
use hoopwright_sdk::prelude::*;
use std::collections::BTreeMap;

/// An object whose lines may be joined.
#[derive(Clone, Debug)]
pub struct Outline {
    /// Its place in the design.
    pub object: usize,
    /// Its lines as drawn; a region's edges.
    pub paths: Vec<Polyline>,
    /// The width of its lines in mm; none for a region's edges, which go with any width.
    pub width: Option<f64>,
}

/// Outlines of one thread and about one width.
#[derive(Clone, Debug, Default)]
pub struct Kind {
    /// The place of their thread in the design's list.
    pub thread: u32,
    /// The outlines, in the design's order.
    pub outlines: Vec<Outline>,
}

impl Kind {
    /// All lines that have a length.
    pub fn lines(&self) -> Vec<Line> {
        let mut lines = Vec::new();
        for outline in &self.outlines {
            for (path, drawn) in outline.paths.iter().enumerate() {
                lines.extend(Line::new(outline.object, path, drawn));
            }
        }
        lines
    }

    /// The width of its narrowest line.
    pub fn width(&self) -> f64 {
        let widths = self.outlines.iter().filter_map(|outline| outline.width);
        widths.min_by(f64::total_cmp).unwrap_or(0.0)
    }
}

/// The selected outlines, those together that may become one object.
pub fn kinds(design: &Design, selected: &[usize], settings: &JoinOutlines) -> Vec<Kind> {
    let mut of_thread: BTreeMap<u32, Vec<Outline>> = BTreeMap::new();
    for &place in selected {
        if let Some(object) = design.objects.get(place)
            && let Some(outline) = outline(place, object, settings.region_edges)
        {
            of_thread.entry(object.thread).or_default().push(outline);
        }
    }
    of_thread
        .into_iter()
        .flat_map(|(thread, outlines)| by_width(thread, outlines, settings.width_tolerance))
        .collect()
}

fn outline(place: usize, object: &Object, region_edges: bool) -> Option<Outline> {
    match &object.shape {
        Shape::Lines(lines) => Some(Outline {
            object: place,
            paths: lines.paths.clone(),
            width: Some(lines.width),
        }),
        Shape::Region(region) if region_edges => {
            let area = geometry::clean(&region.to_multi_polygon());
            let rings = Region::from(&area).polygons.into_iter();
            let paths = rings.flat_map(|polygon| [polygon.outer].into_iter().chain(polygon.holes));
            Some(Outline {
                object: place,
                paths: paths.collect(),
                width: None,
            })
        }
        Shape::Region(_) | Shape::Manual => None,
    }
}

/// Outlines whose widths differ by no more than `tolerance` from the narrowest among them.
fn by_width(thread: u32, mut outlines: Vec<Outline>, tolerance: f64) -> Vec<Kind> {
    outlines.sort_by(|a, b| {
        let width = |outline: &Outline| outline.width.unwrap_or(f64::NEG_INFINITY);
        width(a).total_cmp(&width(b)).then(a.object.cmp(&b.object))
    });
    let mut kinds: Vec<Kind> = Vec::new();
    let mut narrowest = None;
    for outline in outlines {
        let fits = match (outline.width, narrowest) {
            (Some(width), Some(narrowest)) => width - narrowest <= tolerance + 1e-9,
            _ => true,
        };
        if !fits {
            narrowest = None;
        }
        narrowest = narrowest.or(outline.width);
        match kinds.last_mut() {
            Some(kind) if fits => kind.outlines.push(outline),
            _ => kinds.push(Kind {
                thread,
                outlines: vec![outline],
            }),
        }
    }
    for kind in &mut kinds {
        kind.outlines.sort_by_key(|outline| outline.object);
    }
    kinds
}
